"""When to say it: nothing is said at night that can only be done in the morning, and nothing twice.

The budget is the handbook's: one unplanned letter a day, two over an unattended stretch, three planned ones
a week. What does not fit waits for the next morning and is said together with what has gathered by then.
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
from daemon.letter_kinds import LETTER_KINDS, PLANNED
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station

# An unattended stretch worth a letter before it: longer than a night, so a weekend or holidays.
ABSENCE_HOURS = 24
LEAVE_BEFORE_S = 2 * HOUR_S
_OVER_ABSENCE = 2
_PLANNED_A_WEEK = 3


@dataclass(frozen=True, slots=True)
class DatedLetter:
    """A letter that went out, or is to go, at a moment."""

    at: int
    kind: str


def unplanned_due_at(
    station: Station, kind: str, value: float | None, at: int, others: Sequence[DatedLetter]
) -> int:
    """When an unplanned letter about something noticed at `at` may go.

    Heat past the animals' limit goes at once, quiet or not. What only somebody in the room can mend waits
    for them. The rest waits for the end of the quiet hours and for its place in the budget; what has to
    wait goes along with a letter that waits already (`others` holds those too, at the moment they are due).
    """
    if kind == "hot" and value is not None and value > URGENT_C:
        return at
    soonest = morning_of_return(station, at) if LETTER_KINDS[kind].waits_for_somebody else at
    if _quiet(station, soonest):
        soonest = next_morning(station, soonest)
    due_at = soonest
    if _any_on_the_day(station, due_at, others):
        due_at = next_morning(station, due_at)
    if _enough_over_absence(station, due_at, others):
        due_at = morning_of_return(station, due_at)
    return min((letter.at for letter in others if max(at, soonest) <= letter.at <= due_at), default=due_at)


def _any_on_the_day(station: Station, at: int, others: Sequence[DatedLetter]) -> bool:
    day = local_day(at, station.timezone)
    return any(local_day(letter.at, station.timezone) == day for letter in others)


def _enough_over_absence(station: Station, at: int, others: Sequence[DatedLetter]) -> bool:
    absence = next_absence(station, at, ABSENCE_HOURS)
    if absence is None or absence[0] > at:
        return False
    return sum(1 for letter in others if absence[0] <= letter.at < at) >= _OVER_ABSENCE


def said_in_vain(station: Station, kind: str, value: float | None, at: int, said_at: int) -> bool:
    """Whether a letter about the same trouble again would say nothing that somebody could act on.

    It went out (or is to go) at `said_at`, and nobody has been in the room since. Heat past the animals'
    limit is always said.
    """
    urgent = kind == "hot" and value is not None and value > URGENT_C
    return not urgent and (said_at >= at or not attended_spans(station, said_at, at))


def planned_fits(others: Sequence[DatedLetter], at: int) -> bool:
    """Whether one more planned letter, beside the nightly ones, fits into every week that `at` lies in.

    `others` holds those that went out and those that are sure to come.
    """
    planned = [letter.at for letter in others if letter.kind in PLANNED]
    ends = [at, *(then for then in planned if at < then < at + 7 * DAY_S)]
    return all(sum(1 for then in planned if end - 7 * DAY_S < then <= end) < _PLANNED_A_WEEK for end in ends)


def coming_letters(station: Station, at: int) -> list[DatedLetter]:
    """The letters before and after the next absence, where they still are to come."""
    absence = next_absence(station, at, ABSENCE_HOURS)
    if absence is None:
        return []
    leaves_at, returns_at = absence
    coming = [DatedLetter(leaves_at - LEAVE_BEFORE_S, "leave"), DatedLetter(returns_at, "return")]
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
