"""A log that one lasting fault cannot flood: a line that comes again is said now and then, with how often."""

import logging
import re
import time
from collections.abc import Callable
from dataclasses import dataclass

from daemon.seconds import HOUR_S

# A line is said so often within an hour of its first; where it came more than a few times, once in the next.
# So one kind of line takes at most 170 lines a day, and one that comes with every beat 33.
_AT_FIRST = 10
_FEW = 4
_EVERY_S = HOUR_S
_KINDS = 500  # of lines that are remembered at a time
_NUMBERS = re.compile(r"\d+")


@dataclass(slots=True)
class _Kind:
    """How a kind of line fares: since when it is counted, how many were said, and left out since."""

    since_s: float
    said: int = 0
    most: int = _AT_FIRST
    left_out: int = 0


class BoundedLog(logging.Filter):
    """Leaves out lines that differ in numbers only from what was said again and again in the last hour.

    For a handler. A line that was left out meanwhile says how often when it is next said; a traceback stands
    with the first ones only.
    """

    def __init__(self, monotonic_s: Callable[[], float] = time.monotonic) -> None:
        """`monotonic_s` gives seconds that never step."""
        super().__init__()
        self._monotonic_s = monotonic_s
        self._kinds: dict[tuple[str, str], _Kind] = {}

    def filter(self, record: logging.LogRecord) -> bool:
        """Whether the line is to be said; one that is may get a few words more."""
        message = record.getMessage()
        kind = self._kind((record.name, _NUMBERS.sub("#", message)))
        if kind.said >= kind.most:
            kind.left_out += 1
            return False
        kind.said += 1
        if kind.left_out:
            record.msg = f"still, {kind.left_out + 1} times since it was last said: {message}"
            record.args = record.exc_info = record.exc_text = None
            kind.left_out = 0
        return True

    def _kind(self, key: tuple[str, str]) -> _Kind:
        now = self._monotonic_s()
        known = self._kinds.pop(key, None)
        kind = _Kind(now) if known is None else _next_hour(known, now)
        self._kinds[key] = kind  # at the end: the one longest not heard of stands first
        if len(self._kinds) > _KINDS:
            del self._kinds[next(iter(self._kinds))]
        return kind


def _next_hour(kind: _Kind, now: float) -> _Kind:
    """The same within its hour; then one line where it goes on and on, else as many as at first."""
    if now - kind.since_s < _EVERY_S:
        return kind
    goes_on = kind.said + kind.left_out > _FEW and now - kind.since_s < 2 * _EVERY_S
    return _Kind(now, most=1 if goes_on else _AT_FIRST, left_out=kind.left_out)
