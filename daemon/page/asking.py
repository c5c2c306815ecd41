"""The daemon asked by the page: its answer, or one line that says why there is none."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

from daemon.errors import InputError, NaupliadError
from daemon.inbox.asking import ask
from daemon.inbox.line import INBOX
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
    language = glance.language
    if glance.played:
        raise NotAnswered(words.played(language), HTTPStatus.CONFLICT)
    try:
        answer = ask(glance.state / INBOX, request)
    except InputError as error:
        raise NotAnswered(words.refused(language, str(error)), HTTPStatus.BAD_REQUEST) from error
    except NaupliadError as error:
        raise NotAnswered(
            words.silent(language, str(error)), HTTPStatus.SERVICE_UNAVAILABLE, undone=False
        ) from error
    if answer is None:
        raise NotAnswered(words.away(language), HTTPStatus.SERVICE_UNAVAILABLE)
    if "error" in answer:
        raise NotAnswered(words.refused(language, str(answer["error"])), HTTPStatus.BAD_REQUEST)
    return answer
