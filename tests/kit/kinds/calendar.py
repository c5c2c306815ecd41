"""Days of a told station: the first is a Monday, times are those of the wall clock."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

ZONE = ZoneInfo("Europe/Lisbon")
WINTER, SPRING = date(2027, 1, 11), date(2027, 5, 10)
MON, TUE, WED, THU, FRI, SAT = range(6)
_WEEK = 7


@dataclass(frozen=True, slots=True)
class Calendar:
    """Days from a Monday on: day 0 is that Monday, day 7 the next."""

    monday: date
    days: int

    def moment(self, day: int, clock: str) -> datetime:
        """When the wall clock of a day shows `clock` (HH:MM)."""
        hour, minute = map(int, clock.split(":"))
        at = self.monday + timedelta(days=day)
        return datetime(at.year, at.month, at.day, hour, minute, tzinfo=ZONE)

    def at(self, day: int, clock: str) -> int:
        """The same in Unix seconds."""
        return int(self.moment(day, clock).timestamp())

    def weekdays(self, *which: int) -> list[int]:
        """The days that are one of these weekdays (Monday is 0)."""
        return [day for day in range(self.days) if day % _WEEK in which]
