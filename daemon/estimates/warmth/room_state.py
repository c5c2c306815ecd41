"""A room's state: where an hour stands in it, and what is believed before anything was seen, °C.

A pattern's day begins at five in the morning: until then yesterday's heating, or its rest, is what counts.

[P]: about 20.5 °C by day (a room of 21.5 less the cup's offset), 2 to 5 K less at the end of the night, and
on days without people about what the night ends with, a little warmer after noon. How warm the room is at
all is left open by 3 K, how deep its nights are by 1.6 K, and each hour of the afternoon (sun) by more than
one of the night. Nights and weekends share their depth (partial pooling: Gelman et al., *Bayesian Data
Analysis* [M]): a room that stays warm by night, for want of a set-back or of a cold outdoors, mostly stays so
on weekends; and what weekends are deeper than nights tell, the evening before them is too.
"""

from collections.abc import MutableSequence
from dataclasses import dataclass
from functools import cache
from math import exp

from daemon.estimates.local_hour import Calendar
from daemon.seconds import DAY_S, HOUR_S

DAY_H = 24
# Places in the state, after 24 hours of both kinds of day.
FRIDAY, LASTING, FAST, SLOW, SUN, WARMING = 48, 49, 50, 51, 52, 53
STATES = 54
DAY_BEGINS_H = 5
LASTING_MOST = 2
DAY_C, NIGHT_C = 20.5, 17.2
HEATED_FROM, HEATED_TO = 8, 16
COOLS_H = 5.0
LEVEL_SD, DEPTH_SD = 3.0, 1.6
# How deep days without people are: about as nights are, a room's own nights telling most of it. The rest is
# their own (some heatings rest on weekends only), as is by how much one weekend differs from another [P].
IDLE_K, AS_NIGHTS, IDLE_SD = 2.6, 0.8, 1.6
# A night that still falls when it ends falls on where no heating begins: by its last hours' slope, for so
# many hours [P]. One that lies at its set-back by then stays there.
MIDNIGHT, NIGHT_ENDS, FALLS_ON_H = 0, 4, 5.0
NOON_SHARE = 0.15  # less deep after noon
OTHER_LEVEL_SD, WEEKENDS_DIFFER_SD = 0.5, 1.2
SMOOTH_H = 3.0
NIGHT_OWN_SD, NOON_OWN_SD, OTHER_OWN_SD = 0.4, 2.6, 0.5
# The night before them is mostly as deep already (but its walls have cooled for a night only, and how one
# weekend differs from another shows later); each further such day is deeper by a share of a night's.
FRIDAY_SHARE, FRIDAY_SD = 0.5, 0.5
LASTING_SHARE, LASTING_SD = 0.05, 0.5
# In the night before people come again some heatings have begun already: that is not of the weekend [P].
WARMING_K, WARMING_SD, WARMING_H = 0.3, 1.5, 3
SUN_SD = 0.7  # of today's sun against a usual day's, as a share of that [P]


@dataclass(frozen=True, slots=True)
class Slot:
    """Where an hour stands in the pattern: its local hour, whether people come, places of the state."""

    hour: int
    school_day: bool
    places: tuple[tuple[int, float], ...]

    @property
    def before_weekend(self) -> bool:
        """Whether it is of the night before days without people."""
        return self.school_day and len(self.places) > 1

    @property
    def eve(self) -> float:
        """How far into the night before days without people it is: 0 elsewhere, 1 from midnight on."""
        return dict(self.places).get(FRIDAY, 0.0) if self.school_day else 0.0

    def as_usual(self) -> "Slot":
        """The same hour of a day with people, and another after it."""
        return Slot(self.hour, True, ((self.hour, 1.0),))


def slot(calendar: Calendar, began: int) -> Slot:
    """The slot of the hour that begins at `began` (Unix s)."""
    middle = began + HOUR_S // 2
    hour = calendar.local(middle).hour
    own = middle - DAY_BEGINS_H * HOUR_S
    if calendar.local(own).school_day:
        eve = 0.0 if calendar.local(own + DAY_S).school_day else _eve(hour)
        return Slot(hour, True, ((hour, 1.0), (FRIDAY, eve)) if eve else ((hour, 1.0),))
    lasting = 0
    while lasting < LASTING_MOST and not calendar.local(own - (lasting + 1) * DAY_S).school_day:
        lasting += 1
    falls_on = idle(hour) * FALLS_ON_H / (NIGHT_ENDS - MIDNIGHT)
    places = (
        *((hour, 1.0), (DAY_H + hour, 1.0), (LASTING, float(lasting))),
        *((NIGHT_ENDS, falls_on), (MIDNIGHT, -falls_on)),
    )
    warming = min(1.0, (hour + 1) / WARMING_H) if calendar.local(middle).school_day else 0.0
    return Slot(hour, False, (*places, (WARMING, warming)) if warming else places)


def _eve(hour: int) -> float:
    """How far into the night before days without people an hour is: from 16:00 to 05:00."""
    since = (hour - HEATED_TO) % DAY_H
    return min(1.0, since / 8.0) if since < DAY_H - HEATED_TO + DAY_BEGINS_H else 0.0


def school_c(hour: int) -> float:
    """An hour of a day with people."""
    if HEATED_FROM <= hour < HEATED_TO:
        return DAY_C
    if hour in (HEATED_FROM - 2, HEATED_FROM - 1):
        return NIGHT_C + (DAY_C - NIGHT_C) * (0.25 if hour == HEATED_FROM - 2 else 0.65)
    return NIGHT_C + (DAY_C - NIGHT_C) * exp(-((hour - HEATED_TO) % DAY_H) / COOLS_H)


def depth(hour: int) -> float:
    """How far an hour of a day with people lies below its day, as a share of how deep the night is."""
    return (DAY_C - school_c(hour)) / (DAY_C - NIGHT_C)


def idle(hour: int) -> float:
    """How deep an hour of a day without people is, as a share of the deepest."""
    return 1.0 - NOON_SHARE * exp(-(((hour - 15) / 4.0) ** 2))


def sunny(hour: int) -> float:
    """How far the sun may reach a window at an hour: from 9 to 19, flat about 14."""
    return exp(-(((hour - 14) / 5.5) ** 4))


def means() -> list[float]:
    """The state before anything was seen."""
    school = [school_c(hour) for hour in range(DAY_H)]
    night_k = DAY_C - NIGHT_C
    other = [night_k * depth(hour) - IDLE_K * idle(hour) for hour in range(DAY_H)]
    falls_on_k = FALLS_ON_H * (school_c(MIDNIGHT) - school_c(NIGHT_ENDS)) / (NIGHT_ENDS - MIDNIGHT)
    return [
        *school,
        *other,
        FRIDAY_SHARE * (night_k - IDLE_K - falls_on_k),
        -LASTING_SHARE * night_k,
        0.0,
        0.0,
        0.0,
        WARMING_K,
    ]


def of_nights() -> list[float]:
    """What changes in the state, K, for each K by which nights are deeper."""
    other = [depth(hour) - AS_NIGHTS * idle(hour) for hour in range(DAY_H)]
    friday = FRIDAY_SHARE * (1.0 - AS_NIGHTS)
    return [*(-depth(hour) for hour in range(DAY_H)), *other, friday, -LASTING_SHARE, 0.0, 0.0, 0.0, 0.0]


@cache
def of_weekends(with_friday: bool = True) -> tuple[float, ...]:
    """What changes in the state, K, for each K by which days without people are deeper than nights tell."""
    friday = -FRIDAY_SHARE if with_friday else 0.0
    other = (-idle(hour) for hour in range(DAY_H))
    return (*(0.0,) * DAY_H, *other, friday, 0.0, 0.0, 0.0, 0.0, 0.0)


Rows = list[MutableSequence[float]]


def covariance(fast_sd: float, slow_sd: float) -> Rows:
    """How unsure it is: rows of the state's covariance, K²."""
    nights = of_nights()
    rows = deepened([[DEPTH_SD * DEPTH_SD * a * b for b in nights] for a in nights], IDLE_SD)
    own = [NIGHT_OWN_SD + (NOON_OWN_SD - NIGHT_OWN_SD) * sunny(hour) for hour in range(DAY_H)]
    for a in range(DAY_H):
        for b in range(DAY_H):
            near = exp(-min((a - b) % DAY_H, (b - a) % DAY_H) / SMOOTH_H)
            rows[a][b] += LEVEL_SD**2 + own[a] * own[b] * near
            rows[DAY_H + a][DAY_H + b] += OTHER_LEVEL_SD**2 + OTHER_OWN_SD**2 * near
    sds = (
        *((FRIDAY, FRIDAY_SD), (LASTING, LASTING_SD), (WARMING, WARMING_SD)),
        *((FAST, fast_sd), (SLOW, slow_sd), (SUN, SUN_SD)),
    )
    for place, sd in sds:
        rows[place][place] += sd * sd
    return rows


def deepened(rows: Rows, sd_k: float, *, with_friday: bool = True) -> Rows:
    """New rows, less sure by `sd_k` of how deep days without people are, and the night before them too."""
    deeper = of_weekends(with_friday)
    return [
        [value + sd_k * sd_k * own * other for value, other in zip(row, deeper, strict=True)] if own else row
        for row, own in zip(rows, deeper, strict=True)
    ]


def idle_depth(mean: list[float], rows: Rows) -> tuple[float, float]:
    """What the hours of days without people add on the mean, K, and the variance of that, K²."""
    idle_hours = slice(DAY_H, 2 * DAY_H)
    variance = sum(sum(row[idle_hours]) for row in rows[idle_hours]) / DAY_H**2
    return sum(mean[idle_hours]) / DAY_H, variance
