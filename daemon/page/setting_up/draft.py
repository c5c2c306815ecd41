"""The station file as far as somebody has got with it, in the page's own folder.

So a set-up can be ended on another device, or after a restart. The station file itself is touched only when
the draft is kept.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from daemon.errors import NaupliadError
from daemon.page.guard.kept_file import keep, kept

FILE_NAME = "draft.json"


@dataclass(frozen=True, slots=True)
class Draft:
    """`text` of a station file, begun from the one of the digest `instead_of` ("" where there was none).

    `mail` is what was filled in of a mail server that letters do not go by now.
    """

    text: str
    instead_of: str
    mail: Mapping[str, Any] = field(default_factory=dict)


def kept_draft(folder: Path) -> Draft | None:
    """The draft that was kept; None where there is none."""
    found = kept(folder / FILE_NAME)
    if isinstance(found, dict) and all(isinstance(found.get(key), str) for key in ("text", "instead_of")):
        mail = found.get("mail")
        return Draft(found["text"], found["instead_of"], mail if isinstance(mail, dict) else {})
    return None


def keep_draft(folder: Path, draft: Draft) -> None:
    """Keep it. Raises NaupliadError where the page's folder takes nothing."""
    try:
        keep(folder / FILE_NAME, asdict(draft))
    except OSError as error:
        raise NaupliadError(f"{folder}: the draft cannot be kept: {error.strerror or error}") from error


def forget_draft(folder: Path) -> None:
    """There is none any more."""
    (folder / FILE_NAME).unlink(missing_ok=True)
