"""The life of one alarm, with the states of IEC 62682, as a pure state machine.

Delays are counted in samples that can be judged, so neither a wrong wall clock nor a gap in the readings
raises or clears anything. A sample that cannot be judged (None) leaves the alarm as it is.
"""

from dataclasses import dataclass, replace
from enum import StrEnum


class State(StrEnum):
    """State names of IEC 62682, in lower case."""

    NORMAL = "normal"
    UNACKNOWLEDGED = "unacknowledged"
    ACKNOWLEDGED = "acknowledged"
    RETURNED = "returned unacknowledged"
    SUPPRESSED = "suppressed by design"


ACTIVE = frozenset({State.UNACKNOWLEDGED, State.ACKNOWLEDGED})


@dataclass(frozen=True, slots=True)
class Delays:
    """How many samples in a row it takes to raise and to clear."""

    on: int
    off: int


@dataclass(frozen=True, slots=True)
class Alarm:
    """Where an alarm stands.

    `run` counts the samples in a row that speak for the other side; `since` is when the present
    excursion began (Unix seconds), `extreme` its value furthest beyond the limit.
    """

    state: State = State.NORMAL
    run: int = 0
    since: int | None = None
    extreme: float | None = None

    @property
    def active(self) -> bool:
        """Whether the condition stands."""
        return self.state in ACTIVE


def sampled(
    alarm: Alarm, at: int, beyond: bool | None, value: float | None, delays: Delays, *, low: bool
) -> Alarm:
    """The alarm after one more sample; `low` says that lower values are the worse ones."""
    if beyond is None or alarm.state is State.SUPPRESSED:
        return alarm
    if alarm.active:
        return _while_active(_with_extreme(alarm, value, low=low) if beyond else alarm, beyond, delays)
    if not beyond:
        return replace(alarm, run=0, since=None, extreme=None)
    started = alarm if alarm.run else replace(alarm, since=at, extreme=None)
    counted = replace(_with_extreme(started, value, low=low), run=started.run + 1)
    return replace(counted, state=State.UNACKNOWLEDGED, run=0) if counted.run >= delays.on else counted


def _while_active(alarm: Alarm, beyond: bool, delays: Delays) -> Alarm:
    if beyond:
        return replace(alarm, run=0)
    if alarm.run + 1 < delays.off:
        return replace(alarm, run=alarm.run + 1)
    state = State.RETURNED if alarm.state is State.UNACKNOWLEDGED else State.NORMAL
    return replace(alarm, state=state, run=0)


def _with_extreme(alarm: Alarm, value: float | None, *, low: bool) -> Alarm:
    if value is None:
        return alarm
    if alarm.extreme is None:
        return replace(alarm, extreme=value)
    return replace(alarm, extreme=min(alarm.extreme, value) if low else max(alarm.extreme, value))


def acknowledged(alarm: Alarm) -> Alarm:
    """The alarm once somebody has seen to it."""
    if alarm.state is State.UNACKNOWLEDGED:
        return replace(alarm, state=State.ACKNOWLEDGED)
    return replace(alarm, state=State.NORMAL) if alarm.state is State.RETURNED else alarm


def suppressed(alarm: Alarm, suppress: bool) -> Alarm:
    """The alarm of a vessel without a batch (suppressed), or with one again (as new)."""
    if suppress == (alarm.state is State.SUPPRESSED):
        return alarm
    return Alarm(State.SUPPRESSED if suppress else State.NORMAL)
