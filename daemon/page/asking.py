"""The daemon asked by the page: its answer, or one line that says why there is none."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

from daemon.page.deeds.asking import NotDone, told
from daemon.page.glance import Glance
from reports.page import asking as words


class NotAnswered(Exception):
    """The daemon gave no answer, or said no; `line` says why in the station's language, `status` in HTTP's.

    `undone` says that nothing was done: where an answer was lost nobody can know.
    """

    def __init__(self, line: str, status: int, *, undone: bool = True) -> None:
        """With the line for who asked."""
        super().__init__(line)
        self.line = line
        self.status = status
        self.undone = undone


def asked(glance: Glance, request: Mapping[str, Any]) -> dict[str, Any]:
    """The daemon's answer. Raises NotAnswered where it gives none, or refuses."""
    if glance.played:
        raise NotAnswered(words.played(glance.language), HTTPStatus.CONFLICT)
    try:
        return told(glance.state, request)
    except NotDone as fault:
        raise _not_answered(glance.language, fault) from fault


def _not_answered(language: str, fault: NotDone) -> NotAnswered:
    why = " ".join(fault.faults)
    match fault.why:
        case "down":
            return NotAnswered(words.away(language), HTTPStatus.SERVICE_UNAVAILABLE)
        case "busy":
            return NotAnswered(words.busy(language), HTTPStatus.SERVICE_UNAVAILABLE)
        case "silent":
            line = words.silent(language, why)
            return NotAnswered(line, HTTPStatus.SERVICE_UNAVAILABLE, undone=not fault.doubtful)
    return NotAnswered(words.refused(language, why), HTTPStatus.BAD_REQUEST)
