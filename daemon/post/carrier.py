"""What takes a letter out of the house, and how it says that it could not."""

from typing import Protocol

from daemon.errors import NaupliadError

_PAUSES_MIN = (1, 2, 5, 15, 30, 60)  # minutes after the first, second … failed try; the last one repeats


class Refused(NaupliadError):
    """The letter will never be taken: trying again changes nothing."""


class Unreachable(NaupliadError):
    """The letter could not be taken now: the line, the server or the account; try again later."""


class Carrier(Protocol):
    """Takes letters, one at a time."""

    def carry(self, number: int, kind: str, message: bytes) -> None:
        """Take the letter (RFC 5322 bytes, CRLF) over; when this returns, it is on its way.

        `number` is the letter's place in the order of sending. Raises Refused or Unreachable.
        """


def retry_at(attempts: int, now_s: int) -> int:
    """When to try again after `attempts` failed tries, the one just made included; Unix seconds.

    1, 2, 5, 15, 30, then every 60 minutes (common practice, no source).
    """
    step = min(max(attempts, 1), len(_PAUSES_MIN)) - 1
    return now_s + _PAUSES_MIN[step] * 60
