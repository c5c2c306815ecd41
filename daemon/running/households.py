"""Who else hears of a beat: a household with listeners, or with a light, around the house itself."""

from collections.abc import Sequence
from typing import Protocol

from daemon.beat import Household
from daemon.outside.signal_desk import SignalDesk


class Listener(Protocol):
    """Tells others outside that, and what, the station beats."""

    def after_beat(self, at: int, /) -> None:
        """A beat was completed."""


class HeardHouse:
    """A household whose completed beats are heard of outside."""

    def __init__(self, household: Household, listeners: Sequence[Listener]) -> None:
        """`listeners` hear of a beat only when all of it was done."""
        self._household = household
        self._listeners = listeners

    def beat(self, at: int) -> None:
        """The household's beat, then word of it."""
        self._household.beat(at)
        for listener in self._listeners:
            listener.after_beat(at)

    def between(self, at: int) -> None:
        """What cannot wait."""
        self._household.between(at)

    def clock_stepped(self, at: int, step_s: int) -> None:
        """The wall clock was moved."""
        self._household.clock_stepped(at, step_s)


class LitHouse:
    """A household that shows on the Pi what stands, and hears the button there."""

    def __init__(self, household: Household, desk: SignalDesk) -> None:
        """`desk` belongs to the household's own alarms."""
        self._household = household
        self._desk = desk

    def beat(self, at: int) -> None:
        """The household's beat, then the light."""
        self._household.beat(at)
        self._desk.look(at)

    def between(self, at: int) -> None:
        """What cannot wait, a press of the button among it."""
        self._household.between(at)
        self._desk.look(at)

    def clock_stepped(self, at: int, step_s: int) -> None:
        """The wall clock was moved."""
        self._household.clock_stepped(at, step_s)
