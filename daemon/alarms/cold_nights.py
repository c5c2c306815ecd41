"""Nights on which the water passes its lower limit and comes back by itself: a room whose heating rests.

Nothing fails there, so nobody needs to be called each morning. After the second such night a letter says what
would end it; from then on only what is unlike those nights is worth a letter.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import time, timedelta

from daemon.hours import attended_spans, local_day, local_time, moment
from daemon.seconds import DAY_S
from daemon.station import Station

# A night's cooling begins in the evening or after it, and is over by noon of a day with people [P].
_EVENING, _MORNING = 16, 9
_NOON = time(12)
_LOOKS_AHEAD_DAYS = 30
# The nights of a habit follow each other but for a long weekend [P].
APART_S = 5 * DAY_S
# Colder than the nights before by more than this, it is another matter [P].
UNLIKE_K = 1.0


@dataclass(frozen=True, slots=True)
class ColdNight:
    """A stretch below the limit that ended by itself, Unix seconds, and the coldest of it."""

    began: int
    ended: int
    coldest_c: float


def warm_by(station: Station, began: int) -> int:
    """By when water that a night cooled is warm again: the next noon of a day on which somebody is there."""
    day = local_day(began, station.timezone)
    for _ in range(_LOOKS_AHEAD_DAYS):
        noon = moment(day, _NOON, station.timezone)
        midnight = moment(day, time(0), station.timezone)
        if noon > began and attended_spans(station, midnight, midnight + DAY_S):
            return noon
        day += timedelta(days=1)
    return began + DAY_S


def is_of_a_night(station: Station, began: int, ended: int) -> bool:
    """Whether a stretch of cold is one that a night makes and the day ends."""
    hour = local_time(began, station.timezone).hour
    return (hour >= _EVENING or hour < _MORNING) and ended <= warm_by(station, began)


def in_a_row(station: Station, stretches: Sequence[ColdNight], at: int) -> list[ColdNight]:
    """The cold nights up to `at` that follow each other, the oldest first; others of the stretches do not
    count, for what lasts into the day has a letter of its own.
    """
    nights = sorted(
        (one for one in stretches if is_of_a_night(station, one.began, one.ended)), key=lambda one: one.began
    )
    row: list[ColdNight] = []
    later = at
    for night in reversed(nights):
        if later - night.began > APART_S:
            break
        row.insert(0, night)
        later = night.began
    return row


def is_usual(nights: Sequence[ColdNight], coldest_c: float) -> bool:
    """Whether water so cold is as on the nights before, of which there were at least two."""
    return len(nights) >= 2 and coldest_c >= min(night.coldest_c for night in nights) - UNLIKE_K
