"""A planned start as a calendar, RFC 5545: the days from buying to wrap-up."""

from uuid import UUID, uuid5

from daemon.export.ical import REMINDED_S, CalendarEntry, calendar_bytes
from reports.starts.calendar_words import day_entry
from reports.starts.records import Day, PlannedStart

# Made up once, so that an entry keeps its name when the same lesson is planned anew.
_OURS = UUID("2c8f0b8e-4a55-4d0c-8f7e-51f2f6a3c9d4")
# What comes of itself, and asks nobody for anything.
_COMES = frozenset({"hatch", "lesson"})
_REMINDED = frozenset({"water", "set"})  # what a plan hangs on


def start_calendar(plan: PlannedStart) -> bytes:
    """The calendar's bytes."""
    return calendar_bytes(plan.station, start_entries(plan))


def start_entries(plan: PlannedStart) -> list[CalendarEntry]:
    """An entry for each of its days, in their order."""
    counted: dict[str, int] = {}
    found = []
    for day in plan.days:
        counted[day.kind] = counted.get(day.kind, 0) + 1
        found.append(_entry(plan, day, counted[day.kind]))
    return found


def _entry(plan: PlannedStart, day: Day, number: int) -> CalendarEntry:
    lesson = plan.lesson.began.isoformat()
    made_at = int(plan.made_at.timestamp())
    words = day_entry(plan, day)
    return CalendarEntry(
        uid=str(uuid5(_OURS, "\n".join((plan.station, plan.vessel, lesson, day.kind, str(number))))),
        began=int(day.span.began.timestamp()),
        ended=int(day.span.ended.timestamp()),
        title=words.title,
        text=words.text,
        revised_at=made_at,
        sequence=max(0, made_at // 60),
        busy=day.kind not in _COMES,
        alarm_s=REMINDED_S if day.kind in _REMINDED else None,
    )
