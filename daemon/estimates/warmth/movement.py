"""How what surrounds a cup moved in the last hours, by itself and against the pattern."""

from collections.abc import Sequence
from dataclasses import dataclass

from daemon.estimates.local_hour import Calendar
from daemon.estimates.warmth.room_pattern import RoomPattern
from daemon.estimates.warmth.room_state import slot
from daemon.seconds import HOUR_S

RECENT_H = 2  # over which a trend is taken


@dataclass(frozen=True, slots=True)
class HourAround:
    """What surrounded the cup in a clock hour (Unix hours), °C."""

    hour: int
    around_c: float


def movement(recent: Sequence[HourAround], room: RoomPattern, calendar: Calendar) -> tuple[float, float]:
    """How the deviation from the pattern, and what surrounds the cup itself, changed lately, K/h."""
    if len(recent) < 2 or recent[-1].hour - recent[0].hour > 2 * RECENT_H:
        return 0.0, 0.0
    first, last = recent[-min(len(recent), RECENT_H + 1)], recent[-1]
    hours = last.hour - first.hour
    own = (last.around_c - first.around_c) / hours
    usual = [room.today_c(slot(calendar, around.hour * HOUR_S)) for around in (first, last)]
    return own - (usual[1] - usual[0]) / hours, own
