"""What a belief must know of the local calendar: the hour, whether people come, whether a lamp is due.

Beliefs know no time zone and no station; whoever feeds them hands a calendar in.
"""

from dataclasses import dataclass
from typing import Protocol

from daemon.seconds import DAY_S, HOUR_S

THURSDAY = 3  # the weekday of Unix day 0; Monday is 0
SCHOOL_WEEKDAYS = 5


@dataclass(frozen=True, slots=True)
class LocalHour:
    """A moment by the local clock: its hour (0–23), whether people come that day, whether the lamp is due."""

    hour: int
    school_day: bool
    lamp_due: bool


class Calendar(Protocol):
    """The local calendar of a vessel."""

    def local(self, at: int) -> LocalHour:
        """A moment (Unix s) by the local clock."""
        ...


class PlainCalendar:
    """UTC, people from Monday to Friday, no lamp: for a vessel of which nothing else is known."""

    def local(self, at: int) -> LocalHour:
        """A moment by the UTC clock."""
        weekday = (at // DAY_S + THURSDAY) % 7
        return LocalHour(at % DAY_S // HOUR_S, weekday < SCHOOL_WEEKDAYS, False)
