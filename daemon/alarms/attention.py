"""When to say it: nobody is told at night what can only be done in the morning, and nobody is told twice.

The budget is the handbook's: one unplanned letter a day, two over an unattended stretch, three planned ones
a week. What does not fit waits for the next morning and is told together with what has gathered by then.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from daemon.alarms.conditions import URGENT_C
from daemon.hours import (
    attended_spans,
    is_attended,
    local_day,
    next_absence,
    next_attended,
    next_local_time,
    quiet_ends,
)
from daemon.seconds import DAY_S, HOUR_S, WEEK_S
from daemon.station import Station

# The more urgent first.
UNPLANNED = ("hot", "cold", "probe", "outage", "lamp", "water", "swing", "storage", "clock")
# What only somebody in the room can do anything about, and what does no harm until then.
_WAITS_FOR_SOMEBODY = frozenset({"water", "swing", "storage", "clock"})
PLANNED = ("leave", "return", "hatch", "harvest", "feed")

# An unattended stretch worth a letter before it: longer than a night, so a weekend or holidays.
ABSENCE_HOURS = 24
LEAVE_BEFORE_S = 2 * HOUR_S
_OVER_ABSENCE = 2
_PLANNED_A_WEEK = 3


@dataclass(frozen=True, slots=True)
class Told:
    """An unplanned letter that went out, or is to go, at a moment."""

    at: int
    kind: str


def unplanned_due_at(station: Station, kind: str, value: float | None, at: int, told: Sequence[Told]) -> int:
    """When an unplanned letter about something noticed at `at` may go.

    Heat past the animals' limit goes at once, quiet or not. What only somebody in the room can mend waits
    for them. The rest waits for the end of the quiet hours and for its place in the budget; what has to
    wait goes along with a letter that waits already (`told` holds those too, at the moment they are due).
    """
    if kind == "hot" and value is not None and value > URGENT_C:
        return at
    soonest = morning_of_return(station, at) if kind in _WAITS_FOR_SOMEBODY else at
    if _quiet(station, soonest):
        soonest = next_morning(station, soonest)
    due_at = soonest
    if _told_on_the_day(station, due_at, told):
        due_at = next_morning(station, due_at)
    if _told_over_absence(station, due_at, told):
        due_at = morning_of_return(station, due_at)
    return min((letter.at for letter in told if max(at, soonest) <= letter.at <= due_at), default=due_at)


def _told_on_the_day(station: Station, at: int, told: Sequence[Told]) -> bool:
    day = local_day(at, station.timezone)
    return any(local_day(letter.at, station.timezone) == day for letter in told)


def _told_over_absence(station: Station, at: int, told: Sequence[Told]) -> bool:
    absence = next_absence(station, at, ABSENCE_HOURS)
    if absence is None or absence[0] > at:
        return False
    return sum(1 for letter in told if absence[0] <= letter.at < at) >= _OVER_ABSENCE


def told_in_vain(station: Station, kind: str, value: float | None, at: int, told_at: int) -> bool:
    """Whether a letter about the same trouble again would tell nobody anything they could act on.

    It went out (or is to go) at `told_at`, and nobody has been in the room since. Heat past the animals'
    limit is always told.
    """
    urgent = kind == "hot" and value is not None and value > URGENT_C
    return not urgent and (told_at >= at or not attended_spans(station, told_at, at))


def planned_fits(told: Sequence[Told], at: int) -> bool:
    """Whether one more planned letter, beside the nightly ones, fits into every week that `at` lies in.

    `told` holds those that went out and those that are sure to come.
    """
    planned = [letter.at for letter in told if letter.kind in PLANNED]
    ends = [at, *(then for then in planned if at < then < at + WEEK_S)]
    return all(sum(1 for then in planned if end - WEEK_S < then <= end) < _PLANNED_A_WEEK for end in ends)


def coming_letters(station: Station, at: int) -> list[Told]:
    """The letters before and after the next absence, where they still are to come."""
    absence = next_absence(station, at, ABSENCE_HOURS)
    if absence is None:
        return []
    leaves_at, returns_at = absence
    coming = [Told(leaves_at - LEAVE_BEFORE_S, "leave"), Told(returns_at, "return")]
    return [letter for letter in coming if letter.at > at]


def planned_due_at(station: Station, at: int) -> int:
    """When a planned letter may go: now, or on the morning after the quiet hours."""
    return next_morning(station, at) if _quiet(station, at) else at


def next_morning(station: Station, at: int) -> int:
    """The next `morning_at` after a moment."""
    return next_local_time(station.post.morning_at, at + 1, station.timezone)


def leave_due_at(station: Station, at: int) -> tuple[int, int, int] | None:
    """The coming absence as (when to write, it begins, it ends); None where nobody leaves for long."""
    absence = next_absence(station, at, ABSENCE_HOURS)
    if absence is None:
        return None
    leaves_at, returns_at = absence
    return leaves_at - LEAVE_BEFORE_S, leaves_at, returns_at


def _quiet(station: Station, at: int) -> bool:
    return quiet_ends(station.post.quiet, at, station.timezone) is not None


def morning_of_return(station: Station, at: int) -> int:
    """The `morning_at` before somebody is next there; `at` itself while somebody is, or if nobody comes."""
    back = next_attended(station, at)
    if back is None or is_attended(station, at):
        return at
    morning = next_local_time(station.post.morning_at, back - DAY_S, station.timezone)
    return max(at, min(morning, back))
