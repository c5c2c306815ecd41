"""The daemon, asked for something; why it did not do it, as the page can say it."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from daemon.errors import InputError, NaupliadError
from daemon.inbox.asking import ask
from daemon.inbox.line import INBOX

# What reaches back weeks is thought over between beats: on a slow machine that takes its time.
_PATIENCE_S = 30.0


class NotDone(Exception):
    """Nothing was noted. `why` is a reason of `reports.page.doing.refusals`, or empty where `faults`, the
    daemon's own lines, say it. `doubtful`: perhaps it was noted all the same."""

    def __init__(self, why: str, *faults: str, doubtful: bool = False) -> None:
        self.why = why
        self.faults = faults
        self.doubtful = doubtful
        super().__init__(why, *faults)


def told(state: Path, words: Mapping[str, Any], patience_s: float = _PATIENCE_S) -> dict[str, Any]:
    """The daemon's answer. Raises NotDone."""
    try:
        answered = ask(state / INBOX, words, patience_s)
    except InputError as error:
        raise NotDone("", *error.faults) from error
    except NaupliadError as error:
        if isinstance(error.__cause__, PermissionError):
            raise NotDone("", str(error)) from error
        raise NotDone("silent", str(error), doubtful=True) from error
    if answered is None:
        raise NotDone("down")
    if "error" in answered:
        line = str(answered["error"])
        raise NotDone("busy") if line.startswith("inbox: ") else NotDone("", *line.splitlines())
    return answered
