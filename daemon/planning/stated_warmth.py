"""The water of coming days as somebody stated it: so warm while people are there, so warm at night.

What is stated of the day is the water in attended hours, of the night what it is late at night. In between it
goes by the room, which cools over hours once nobody is there, and begins to warm before people come; a lamp
adds what it adds while it burns, and a heater lets the water fall no further than it holds it. All without a
source: judgements [P], with the figures of `daemon.estimates.warmth` where it has them.
"""

from dataclasses import dataclass
from math import exp, hypot, sqrt

from daemon.estimates.warmth.belief import COURSES, WarmthCourse
from daemon.estimates.warmth.cup_heat import RISE_K, RISE_SD_K
from daemon.estimates.warmth.room_state import COOLS_H, DAY_C, DEPTH_SD, NIGHT_C, WEEKENDS_DIFFER_SD
from daemon.hours import attended_spans, in_daily_hours, local_time
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station, Vessel

DAY_SD_K = 1.0  # a thermometer read once, and rounded: our judgement
NIGHT_SD_K = 1.0
DRIFT_K_PER_ROOT_DAY = 0.3  # other weather, other heating
WARMS_H, WARMS_AHEAD_H = 1.5, 2
LATE = (0, 6)  # local hours that are late at night
UNTOLD_HOURS = (8, 18)  # of a station that says it is always attended: when its room is warm
# Three points that keep mean, variance and what lies far out of a normal (Gauss and Hermite's).
NIGHTS = ((-sqrt(3.0), 1.0 / 6.0), (0.0, 4.0 / 6.0), (sqrt(3.0), 1.0 / 6.0))


@dataclass(frozen=True, slots=True)
class StatedWarmth:
    """The water in attended hours and late at night, °C; `night_c` is None where nobody said."""

    day_c: float
    night_c: float | None = None


@dataclass(frozen=True, slots=True)
class _Hour:
    """An hour to come: how far the room is from its day (0) to its night (1); `idle` with nobody there
    that day, `late` at night."""

    night: float
    lit: bool
    idle: bool
    late: bool


def stated_courses(
    station: Station, vessel: Vessel | None, stated: StatedWarmth, began: int, hours: int
) -> list[WarmthCourse]:
    """The ways the water may go in so many clock hours from `began` (Unix s, on the hour)."""
    coming = _hours(station, vessel, began, hours)
    depth_k, depth_sd, lamp_k, lamp_sd = _night(coming, stated)
    held_c = vessel.heater_c if vessel is not None and vessel.heater_c is not None else -99.0
    day_lit = _usually_lit(coming, night=False)
    found = []
    for level in COURSES:
        for z, weight in NIGHTS:
            water = []
            for ahead, hour in enumerate(coming):
                sd_k = hypot(DAY_SD_K, DRIFT_K_PER_ROOT_DAY * sqrt(ahead * HOUR_S / DAY_S))
                unsure = hypot(depth_sd, WEEKENDS_DIFFER_SD if hour.idle else 0.0)
                lamp = (hour.lit - day_lit) * (lamp_k + lamp_sd * z)
                cooler = hour.night * (depth_k + unsure * z)
                water.append(max(held_c, stated.day_c + level * sd_k - cooler + lamp))
            found.append(WarmthCourse(weight / len(COURSES), tuple(water)))
    return found


def _night(coming: list[_Hour], stated: StatedWarmth) -> tuple[float, float, float, float]:
    """How much cooler the room is late at night and how sure that is, and the same of the lamp, K."""
    lit = _usually_lit(coming, night=True) - _usually_lit(coming, night=False)
    if stated.night_c is None:
        return DAY_C - NIGHT_C, DEPTH_SD, RISE_K, RISE_SD_K
    # By day and at night together they make what was stated, however much of it the lamp is.
    return stated.day_c - stated.night_c + lit * RISE_K, NIGHT_SD_K, RISE_K, 0.0


def _usually_lit(coming: list[_Hour], *, night: bool) -> float:
    """Whether the lamp burns while people are there, or late at night: how often it does."""
    some = [hour.lit for hour in coming if (hour.late if night else hour.night < 0.1)]
    return sum(some) / len(some) if some else 0.0


def _hours(station: Station, vessel: Vessel | None, began: int, hours: int) -> list[_Hour]:
    ended = began + (hours + WARMS_AHEAD_H + 1) * HOUR_S
    spans = attended_spans(station, began - DAY_S, ended)
    lamp, zone = () if vessel is None else vessel.lamp, station.timezone
    days = {local_time(at, zone).date() for span in spans for at in (span[0], span[1] - 1)}

    def there(at: int) -> bool:
        if not any(b <= at < e for b, e in spans):
            return False
        return bool(station.attended) or UNTOLD_HOURS[0] <= local_time(at, zone).hour < UNTOLD_HOURS[1]

    found, night = [], 1.0
    for hour in range(-24, hours):
        middle = began + hour * HOUR_S + HOUR_S // 2
        warm = there(middle) or any(there(middle + k * HOUR_S) for k in range(1, WARMS_AHEAD_H + 1))
        night = night * exp(-1.0 / WARMS_H) if warm else 1.0 - (1.0 - night) * exp(-1.0 / COOLS_H)
        if hour >= 0:
            lit = any(in_daily_hours(one, middle, zone) for one in lamp)
            local = local_time(middle, zone)
            found.append(_Hour(night, lit, local.date() not in days, LATE[0] <= local.hour < LATE[1]))
    return found
