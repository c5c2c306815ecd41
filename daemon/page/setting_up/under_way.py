"""A set-up under way, as a request finds it: the draft or the file that stands, and its faults."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from daemon.errors import InputError
from daemon.page.deeds.asking import told
from daemon.page.setting_up.draft import Draft, forget_draft, keep_draft, kept_draft
from daemon.page.setting_up.station_text import StationText, faults_of

MOST_BYTES = 48 * 1024  # of a station file, with room left in a line of the inbox


@dataclass(frozen=True, slots=True)
class StandingFile:
    """The station file as the daemon has it: `text` and `digest` are empty where there is none.

    `why_not` says why the daemon cannot write it; empty where it can. `watching` says that a station runs.
    `password` is "none", "kept" (by the daemon, for the server `password_host`) or "root".
    """

    path: str
    text: str
    digest: str
    faults: tuple[str, ...]
    why_not: str
    watching: bool
    password: str
    password_host: str

    @property
    def password_is_roots(self) -> bool:
        """Whether the mail password is kept where only root can change it."""
        return self.password == "root"  # noqa: S105 - where it is kept, not what it is

    @classmethod
    def of(cls, answer: dict[str, Any]) -> "StandingFile":
        """As the inbox answers `station-file`."""
        return cls(
            answer["path"],
            answer["text"] or "",
            answer["digest"],
            tuple(answer["faults"]),
            "" if answer["writable"] else answer["why"],
            answer["watching"],
            answer["mail_password"],
            (answer["mail_for"] or {}).get("host", ""),
        )


@dataclass
class UnderWay:
    """`text` is what the steps show and change; `begun` says that it is a draft.

    `elsewhere` says that the file was changed since the draft was begun; `broken` are the lines of a file
    that cannot be edited; `listen` is from where the page can be asked for now.
    """

    state: Path
    folder: Path
    file: StandingFile
    text: StationText
    begun: bool
    elsewhere: bool
    broken: tuple[str, ...]
    listen: str

    @property
    def faults(self) -> list[tuple[str, str]]:
        """What is wrong with the text as it is now, by the path of the key."""
        return faults_of(self.text.text)

    @property
    def unit(self) -> str:
        """Of temperatures, as the text has it."""
        return "F" if self.text.table("station").get("temperature_unit") == "F" else "C"

    def language(self, otherwise: str) -> str:
        """As the text has it, else the one of who asks."""
        found = self.text.table("station").get("language")
        return found if found in ("en", "de") else otherwise

    def keep(self) -> None:
        """Keep what was typed as a draft. Raises InputError for too much, NaupliadError for a full disk."""
        text = self.text.text
        if len(text.encode()) > MOST_BYTES:
            raise InputError(f"station file: found {len(text.encode())} bytes; allowed: up to {MOST_BYTES}")
        began_from = self.file.digest
        if self.begun and (before := kept_draft(self.folder)) is not None:
            began_from = before.instead_of
        keep_draft(self.folder, Draft(text, began_from))
        self.begun = True


def under_way(state: Path, folder: Path, listen: str) -> UnderWay:
    """The set-up as it stands; `listen` is how the page is asked for now.

    Raises `deeds.asking.NotDone` where the daemon does not answer.
    """
    file = StandingFile.of(told(state, {"ask": "station-file"}))
    draft = kept_draft(folder)
    begun = draft is not None
    elsewhere = draft is not None and draft.instead_of != file.digest
    broken: tuple[str, ...] = ()
    try:
        text = StationText(file.text if draft is None else draft.text)
    except InputError as error:
        text, broken = StationText(""), error.faults
    return UnderWay(state, folder, file, text, begun, elsewhere, broken, listen)


def begin_anew(at: UnderWay, *, empty: bool) -> UnderWay:
    """Without the draft: from the file that stands, or from nothing."""
    forget_draft(at.folder)
    if not empty:
        return replace(at, begun=False)
    found = replace(at, text=StationText(""), begun=False)
    found.keep()
    return found
