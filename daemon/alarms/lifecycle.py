"""The life of one alarm, with the states of IEC 62682, as a pure state machine.

Delays are counted in samples that can be judged, so neither a wrong wall clock nor a gap in the readings
raises or clears anything. A sample that cannot be judged (None) leaves the alarm as it is. An alarm rings
once for an excursion, and again only when it became much worse, or where it has stood for a long time since
and nothing else says that it does.
"""

from dataclasses import dataclass, replace
from enum import StrEnum


class State(StrEnum):
    """State names of IEC 62682 and ISA-18.2 (from memory), in lower case, without its latched states."""

    NORMAL = "normal"
    UNACKNOWLEDGED = "unacknowledged"
    ACKNOWLEDGED = "acknowledged"
    RETURNED = "returned to normal unacknowledged"
    SHELVED = "shelved"
    SUPPRESSED = "suppressed by design"
    OUT_OF_SERVICE = "out of service"


ACTIVE = frozenset({State.UNACKNOWLEDGED, State.ACKNOWLEDGED})
ASIDE = frozenset({State.SHELVED, State.OUT_OF_SERVICE})

# What stood when it was put aside has been counted to the end already.
_RAISED_BEFORE = 1_000_000


@dataclass(frozen=True, slots=True)
class Delays:
    """How many samples in a row it takes to raise and to clear, and to ring again while it stands.

    It rings again, too, when as many samples in a row as raise it are further beyond the limit than when
    it last rang, by `worse_by` in the value's unit (None: never for that).
    """

    on: int
    off: int
    again: int = _RAISED_BEFORE
    worse_by: float | None = None


@dataclass(frozen=True, slots=True)
class Alarm:
    """Where an alarm stands.

    `run` counts the samples in a row that speak for the other side; `since` is when the present
    excursion began (Unix seconds), `extreme` its value furthest beyond the limit. `stood` counts samples
    beyond the limit since it last rang or was acknowledged, `rings` how often it has rung; `rung_at` is the
    value at which it last did, and `worse` counts the samples in a row that are much worse than that.
    """

    state: State = State.NORMAL
    run: int = 0
    since: int | None = None
    extreme: float | None = None
    stood: int = 0
    rings: int = 0
    rung_at: float | None = None
    worse: int = 0

    @property
    def active(self) -> bool:
        """Whether the condition stands."""
        return self.state in ACTIVE


def sampled(
    alarm: Alarm, at: int, beyond: bool | None, value: float | None, delays: Delays, *, low: bool
) -> Alarm:
    """The alarm after one more sample; `low` says that lower values are the worse ones.

    One that is shelved goes on counting, so that it can ring with the first sample after the shelf.
    """
    if beyond is None or alarm.state in (State.SUPPRESSED, State.OUT_OF_SERVICE):
        return alarm
    if alarm.active:
        if not beyond:
            return _while_within(alarm, delays)
        return _while_beyond(_with_extreme(alarm, value, low=low), value, delays, low=low)
    if not beyond:
        return replace(alarm, run=0, since=None, extreme=None)
    started = alarm if alarm.run else replace(alarm, since=at, extreme=None)
    counted = replace(_with_extreme(started, value, low=low), run=started.run + 1)
    if counted.run < delays.on or alarm.state is State.SHELVED:
        return counted
    return _rung(counted, value)


def _rung(alarm: Alarm, value: float | None) -> Alarm:
    return replace(
        alarm,
        state=State.UNACKNOWLEDGED,
        run=0,
        stood=0,
        worse=0,
        rings=alarm.rings + 1,
        rung_at=value if value is not None else alarm.rung_at,
    )


def _while_beyond(alarm: Alarm, value: float | None, delays: Delays, *, low: bool) -> Alarm:
    much = _much_worse(alarm, value, delays.worse_by, low=low)
    alarm = replace(alarm, run=0, stood=alarm.stood + 1, worse=alarm.worse + 1 if much else 0)
    return _rung(alarm, value) if alarm.stood >= delays.again or alarm.worse >= delays.on else alarm


def _much_worse(alarm: Alarm, value: float | None, worse_by: float | None, *, low: bool) -> bool:
    if value is None or worse_by is None or alarm.rung_at is None:
        return False
    return (alarm.rung_at - value if low else value - alarm.rung_at) >= worse_by


def _while_within(alarm: Alarm, delays: Delays) -> Alarm:
    if alarm.run + 1 < delays.off:
        return replace(alarm, run=alarm.run + 1, worse=0)
    state = State.RETURNED if alarm.state is State.UNACKNOWLEDGED else State.NORMAL
    return replace(alarm, state=state, run=0, stood=0, worse=0)


def _with_extreme(alarm: Alarm, value: float | None, *, low: bool) -> Alarm:
    if value is None:
        return alarm
    if alarm.extreme is None:
        return replace(alarm, extreme=value)
    return replace(alarm, extreme=min(alarm.extreme, value) if low else max(alarm.extreme, value))


def acknowledged(alarm: Alarm) -> Alarm:
    """The alarm once somebody has seen to it."""
    if alarm.state is State.UNACKNOWLEDGED:
        return replace(alarm, state=State.ACKNOWLEDGED, stood=0)
    return replace(alarm, state=State.NORMAL) if alarm.state is State.RETURNED else alarm


def put_aside(alarm: Alarm, state: State) -> Alarm:
    """The alarm once somebody has put it on the shelf for a time (SHELVED) or took it out of service.

    One that is not judged stays suppressed: there is nothing to put aside.
    """
    if alarm.state in (State.SUPPRESSED, state):
        return alarm
    run = _RAISED_BEFORE if alarm.active else 0 if alarm.state is State.OUT_OF_SERVICE else alarm.run
    return replace(alarm, state=state, run=run, stood=0)


def taken_back(alarm: Alarm) -> Alarm:
    """The alarm once its time on the shelf is over, or it is in service again."""
    if alarm.state is State.OUT_OF_SERVICE:
        return Alarm(rings=alarm.rings)
    return replace(alarm, state=State.NORMAL) if alarm.state is State.SHELVED else alarm


def suppressed(alarm: Alarm, suppress: bool) -> Alarm:
    """The alarm of what is not judged in its vessel's state (suppressed), or is judged again (as new)."""
    if suppress == (alarm.state is State.SUPPRESSED):
        return alarm
    return Alarm(State.SUPPRESSED if suppress else State.NORMAL, rings=alarm.rings)
