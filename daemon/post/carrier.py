"""What takes a letter out of the house, and how it says that it could not."""

from dataclasses import dataclass
from typing import Protocol

from daemon.errors import NaupliadError

_PAUSES_MIN = (1, 2, 5, 15, 30, 60)  # minutes after the first, second … failed try; the last one repeats
LONGEST_PAUSE_S = 60 * _PAUSES_MIN[-1]


class LetterRefused(NaupliadError):
    """The letter will never be taken: trying again changes nothing."""


class Unreachable(NaupliadError):
    """No letter could be taken now: the line, the server or the account; try again later.

    `wait_s` is how long the other side asks to be left alone, 0 where it says nothing.
    """

    def __init__(self, message: str, wait_s: int = 0) -> None:
        super().__init__(message)
        self.wait_s = wait_s


class Deferred(Unreachable):
    """This one letter could not be taken now; another may."""


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A letter on its way. `written_at` is Unix seconds, `about` are vessels, `message` RFC 5322 with CRLF.

    `number` is the station's running number of it, 0 for one that has none (a sample).
    """

    number: int
    kind: str
    written_at: int
    about: tuple[str, ...]
    message: bytes


class Carrier(Protocol):
    """Takes letters, one at a time."""

    def carry(self, letter: Outgoing, /) -> None:
        """Take the letter over; when this returns, it is on its way.

        Raises LetterRefused, Unreachable or Deferred.
        """

    def reach(self) -> None:
        """See whether a letter could be taken now, without giving one. Raises Unreachable."""


def retry_at(attempts: int, now_s: int, wait_s: int = 0) -> int:
    """When to try again after `attempts` failed tries, the one just made included; Unix seconds.

    1, 2, 5, 15, 30, then every 60 minutes (common practice, no source); later where the other side asks
    for it by `wait_s`, but never more than an hour.
    """
    step = min(max(attempts, 1), len(_PAUSES_MIN)) - 1
    return now_s + min(max(_PAUSES_MIN[step] * 60, wait_s), LONGEST_PAUSE_S)
