"""Whose turn it is to have cups reckoned: nobody needs a PIN for it, and it may take a small Pi many seconds.

One is reckoned at a time, and over a while they take a quarter of the machine at most, however often anybody
asks. What was reckoned is kept, so that a view that is loaded anew costs nothing.
"""

import threading
import time
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

from flask import current_app

NAME = "naupliad-turns"  # among the app's extensions
_KEPT = 32
# A person who tries several plans is not held up; who asks without end is [P].
SAVED_S = 30.0
SHARE = 0.25

_T = TypeVar("_T")


class NotNow(Exception):
    """Another one is being reckoned, or too much was; `wait_s` says when to ask again, in seconds."""

    def __init__(self, wait_s: float) -> None:
        super().__init__(wait_s)
        self.wait_s = wait_s


class Turns:
    """Time that may be spent on reckoning, by a clock in seconds: `SAVED_S` at most, and `SHARE` of what
    passes is added. What a reckoning took is taken off afterwards, so the longest one may be begun."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._one_at_a_time = threading.Lock()
        self._left_s, self._as_of = SAVED_S, clock()
        self._kept: dict[Hashable, Any] = {}

    def reckoned(self, reckon: Callable[..., _T], *given: Hashable) -> _T:
        """What `reckon` says of these. Raises NotNow."""
        what = (reckon, *given)
        if what in self._kept:
            known: _T = self._kept[what]
            return known
        if not self._one_at_a_time.acquire(blocking=False):
            raise NotNow(2.0)
        try:
            begun = self._clock()
            self._left_s = min(SAVED_S, self._left_s + SHARE * (begun - self._as_of))
            self._as_of = begun
            if self._left_s <= 0.0:
                raise NotNow(max(1.0, -self._left_s / SHARE))
            found = reckon(*given)
            # What passes while it is reckoned counts as spent alone.
            self._as_of = self._clock()
            self._left_s -= self._as_of - begun
            self._kept = dict([*self._kept.items(), (what, found)][-_KEPT:])
            return found
        finally:
            self._one_at_a_time.release()


def turns() -> Turns:
    """Of the site that answers."""
    made: Turns = current_app.extensions.setdefault(NAME, Turns())
    return made
