"""When to say it: nothing is said at night that can only be done in the morning, and nothing twice.

The budget is the handbook's: one unplanned letter a day, two over an unattended stretch, three planned ones
a week. What does not fit waits for the next morning and is said together with what has gathered by then.

What is urgent, a reading past the animals' limit, keeps no budget and no quiet; who calls knows it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta

from daemon.hours import (
    attended_spans,
    is_attended,
    local_day,
    moment,
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
# So long before a hatch or a harvest a letter may tell of it [P].
AHEAD_S = 14 * HOUR_S
LEAVE_BEFORE_S = 2 * HOUR_S
_BEFORE_THEY_COME_S = 1800  # time to read it on the way [P]
_OVER_ABSENCE = 2
_MIDNIGHT = time(0)
_PLANNED_A_WEEK = 3
_ABOUT_A_WEEK_S = (
    7 * DAY_S - HOUR_S
)  # what goes at the same hour of another week goes a little earlier or later


@dataclass(frozen=True, slots=True)
class DatedLetter:
    """A letter that went out, or is to go, at a moment."""

    at: int
    kind: str


def unplanned_due_at(
    station: Station, kind: str, at: int, others: Sequence[DatedLetter], not_before: int = 0
) -> int:
    """When an unplanned letter about something noticed at `at` may go, if it is not urgent.

    What only somebody in the room can mend waits for them. The rest waits for the end of the quiet hours
    and for its place in the budget; what has to wait goes along with a letter that waits already (`others`
    holds those too, at the moment they are due). None goes before `not_before`.
    """
    soonest = _for_whom(station, kind, max(at, not_before))
    if is_quiet(station, soonest):
        soonest = _for_whom(station, kind, next_morning(station, soonest))
    due_at = soonest
    while _any_on_the_day(station, due_at, others):
        due_at = _for_whom(station, kind, _morning_of_another_day(station, due_at))
    if _enough_over_absence(station, due_at, others):
        due_at = morning_of_return(station, due_at)
    along = (letter.at for letter in others if soonest <= letter.at <= due_at)
    read = (then for then in along if not is_quiet(station, then) and _for_whom(station, kind, then) == then)
    return min(read, default=due_at)


def _for_whom(station: Station, kind: str, at: int) -> int:
    """`at`, or the morning of the return where only who is in the room can do anything about it."""
    return morning_of_return(station, at) if LETTER_KINDS[kind].waits_for_somebody else at


def _morning_of_another_day(station: Station, at: int) -> int:
    """The next morning's moment, of a day that is not that of `at`."""
    return _morning(station, local_day(at, station.timezone) + timedelta(days=1))


def _any_on_the_day(station: Station, at: int, others: Sequence[DatedLetter]) -> bool:
    day = local_day(at, station.timezone)
    return any(local_day(letter.at, station.timezone) == day for letter in others)


def _enough_over_absence(station: Station, at: int, others: Sequence[DatedLetter]) -> bool:
    """Whether two letters went over the absence under way; alarms that are said at one moment are one."""
    absence = next_absence(station, at, ABSENCE_HOURS)
    if absence is None or absence[0] > at:
        return False
    return len({letter.at for letter in others if absence[0] <= letter.at < at}) >= _OVER_ABSENCE


def said_in_vain(station: Station, at: int, said_at: int) -> bool:
    """Whether a letter about the same trouble again would say nothing that somebody could act on.

    It went out (or is to go) at `said_at`, and nobody has been in the room since.
    """
    return said_at >= at or not attended_spans(station, said_at, at)


def planned_fits(others: Sequence[DatedLetter], at: int) -> bool:
    """Whether one more planned letter, beside the nightly ones, fits into every week that `at` lies in.

    `others` holds those that went out and those that are sure to come; what goes at one moment is one.
    """
    planned = {letter.at for letter in others if letter.kind in PLANNED and letter.at != at}
    ends = [at, *(then for then in planned if at < then < at + _ABOUT_A_WEEK_S)]
    return all(
        sum(1 for then in planned if end - _ABOUT_A_WEEK_S < then <= end) < _PLANNED_A_WEEK for end in ends
    )


def coming_letters(station: Station, at: int) -> list[DatedLetter]:
    """The letters about absences that are still to come: of the one under way or next, and of those that
    begin within eight days.

    Where people leave again on the day on which they came back, the letter before they leave speaks for
    the one of the return, when that would go.
    """
    coming = []
    absence = next_absence(station, at, ABSENCE_HOURS)
    last = at + 8 * DAY_S if absence is None else max(at + 8 * DAY_S, absence[0])
    while absence is not None and absence[0] <= last:
        coming.append(DatedLetter(_leave_moment(station, absence[0]), "leave"))
        if not left_again(station, absence[1]):
            coming.append(DatedLetter(_return_moment(station, absence[1]), "return"))
        absence = next_absence(station, absence[1], ABSENCE_HOURS)
    return [letter for letter in coming if letter.at > at]


def planned_due_at(station: Station, at: int) -> int:
    """When a planned letter may go: now, or on the morning after the quiet hours."""
    return next_morning(station, at) if is_quiet(station, at) else at


def next_morning(station: Station, at: int) -> int:
    """The next morning's moment for letters after `at`."""
    day = local_day(at, station.timezone)
    while (morning := _morning(station, day)) <= at:
        day += timedelta(days=1)
    return morning


def _morning(station: Station, day: date) -> int:
    """When letters go on the morning of a day: at `morning_at`, or a little before the first people come
    where that is earlier; but in no quiet hours.
    """
    zone = station.timezone
    midnight, morning = (moment(day, clock, zone) for clock in (_MIDNIGHT, station.post.morning_at))
    there = attended_spans(station, midnight, morning)
    soon = there[0][0] - _BEFORE_THEY_COME_S if there else morning
    if soon < midnight or is_quiet(station, soon):  # who comes at midnight or in the quiet reads it later
        return quiet_ends(station.post.quiet, morning, zone) or morning
    return soon


def leave_due_at(station: Station, at: int) -> tuple[int, int, int] | None:
    """The absence to speak of before people leave, as (when to write, it begins, it ends).

    That is the one that is next, or that is under way until the letter before the following one is due;
    None where nobody leaves for long.
    """
    absence = next_absence(station, at, ABSENCE_HOURS)
    if absence is not None and absence[0] <= at:
        following = next_absence(station, absence[1], ABSENCE_HOURS)
        if following is not None and _leave_moment(station, following[0]) <= at:
            absence = following
    return None if absence is None else (_leave_moment(station, absence[0]), *absence)


def next_leave(station: Station, at: int) -> tuple[int, int, int] | None:
    """The next absence that is still to begin, in the same way."""
    absence = next_absence(station, at, ABSENCE_HOURS)
    if absence is not None and absence[0] <= at:
        absence = next_absence(station, absence[1], ABSENCE_HOURS)
    return None if absence is None else (_leave_moment(station, absence[0]), *absence)


def leaving_now(station: Station, at: int) -> tuple[int, int] | None:
    """The absence that people prepare for at `at`, as (it begins, it ends): from the morning of the day on
    which they leave, or from its letter where that goes earlier, until they are gone. None where they do not.
    """
    coming = next_leave(station, at)
    if coming is None:
        return None
    letter_at, leaves_at, returns_at = coming
    today, zone = local_day(at, station.timezone), station.timezone
    prepares = letter_at <= at or local_day(leaves_at - 1, zone) == today
    return (leaves_at, returns_at) if prepares and at < leaves_at else None


def left_soon(station: Station, at: int) -> bool:
    """Whether who is there next, now or later, leaves for long within a day: animals are fed less then."""
    there = next_attended(station, at)
    absence = None if there is None else next_absence(station, there, ABSENCE_HOURS)
    return there is not None and absence is not None and absence[0] - there < DAY_S


def left_again(station: Station, back_at: int) -> bool:
    """Whether who comes back leaves for long again on that very day: then the letter before it says both."""
    absence = next_absence(station, back_at, ABSENCE_HOURS)
    zone = station.timezone
    return absence is not None and local_day(absence[0] - 1, zone) == local_day(back_at, zone)


def _leave_moment(station: Station, leaves_at: int) -> int:
    """Two hours before people leave, or before the quiet hours in which that would be.

    Where they came back that very day, it is the moment of the letter about that.
    """
    before = next_absence(station, leaves_at - DAY_S, ABSENCE_HOURS)
    if before is not None and before[1] < leaves_at and left_again(station, before[1]):
        return _return_moment(station, before[1])
    due_at = leaves_at - LEAVE_BEFORE_S
    quiet = station.post.quiet
    if quiet is None or not is_quiet(station, due_at):
        return due_at
    begins = next_local_time(quiet.begins, due_at - DAY_S + 1, station.timezone)
    earlier = begins - LEAVE_BEFORE_S
    return due_at if is_quiet(station, earlier) else earlier


def is_quiet(station: Station, at: int) -> bool:
    """Whether a moment lies in the quiet hours."""
    return quiet_ends(station.post.quiet, at, station.timezone) is not None


def morning_of_return(station: Station, at: int) -> int:
    """The moment to say it to who is next there: on the morning of the very day on which they come; `at`
    itself while somebody is there, or if nobody comes.
    """
    back = next_attended(station, at)
    if back is None or is_attended(station, at):
        return at
    return max(at, _return_moment(station, back))


def _return_moment(station: Station, back: int) -> int:
    return _morning(station, local_day(back, station.timezone))
