"""When something can be done: while somebody is there, and not in the quiet hours."""

from daemon.alarms.letter_timing import is_quiet
from daemon.hours import attended_spans, next_attended
from daemon.seconds import DAY_S
from daemon.station import Station

# So much before people leave is early enough [P].
BEFORE_S = 1800
_STEP_S = 900


def first_chance(station: Station, began: int, ended: int) -> int | None:
    """The first moment of a stretch (Unix s) at which somebody is there and it is not quiet; None: none."""
    for since, until in attended_spans(station, began, ended):
        then = -(-since // _STEP_S) * _STEP_S  # so that it stays where it is while time goes on
        while then < until:
            if not is_quiet(station, then):
                return then
            then += _STEP_S
    return None


def last_chance(station: Station, at: int, by: int) -> int | None:
    """The last moment to do something by `by` that is not put off to people's leaving, Unix s.

    Where nobody is there until then, when somebody next is; None where nobody ever comes.
    """
    for since, until in reversed(attended_spans(station, at, max(by, at))):
        then = max(since, (until - BEFORE_S) // _STEP_S * _STEP_S)
        while then >= since:
            if not is_quiet(station, then):
                return then
            then -= _STEP_S
    back = next_attended(station, at)
    return None if back is None else first_chance(station, back, back + DAY_S)
