"""What surrounds a cup before anything was seen of it: a classroom's day and weekend, °C, with their spread.

[P]: about 20.5 °C by day (a room of 21.5 less the cup's offset), 2 to 5 K less at the end of the night, and
on days without people about what the night ends with, a little warmer after noon. How warm the room is at
all is left open by 3 K, how deep its nights are by 1.6 K, and each hour of the afternoon (sun) by more than
one of the night.
"""

from math import exp

DAY_H = 24
# Places in the state, after 24 hours of both kinds of day.
FRIDAY, LASTING, FAST, SLOW, SUN = 48, 49, 50, 51, 52
STATES = 53
DAY_C, NIGHT_C = 20.5, 17.2
HEATED_FROM, HEATED_TO = 8, 16
COOLS_H = 5.0
LEVEL_SD, DEPTH_SD = 3.0, 1.6
OTHER_LEVEL_SD, OTHER_DAY_SD = 1.6, 2.0
SMOOTH_H = 3.0
NIGHT_OWN_SD, NOON_OWN_SD, OTHER_OWN_SD = 0.4, 2.6, 0.5
# The night before days without people, and each further such day: K, and how sure.
FRIDAY_K, FRIDAY_SD = 0.0, 0.9
LASTING_K, LASTING_SD = 0.0, 0.6
SUN_SD = 0.7  # of today's sun against a usual day's, as a share of that [P]


def school_c(hour: int) -> float:
    """An hour of a day with people."""
    if HEATED_FROM <= hour < HEATED_TO:
        return DAY_C
    if hour in (HEATED_FROM - 2, HEATED_FROM - 1):
        return NIGHT_C + (DAY_C - NIGHT_C) * (0.25 if hour == HEATED_FROM - 2 else 0.65)
    return NIGHT_C + (DAY_C - NIGHT_C) * exp(-((hour - HEATED_TO) % DAY_H) / COOLS_H)


def empty_c(hour: int) -> float:
    """An hour of a day without people."""
    return NIGHT_C + 0.7 + 0.7 * exp(-(((hour - 15) / 4.0) ** 2))


def sunny(hour: int) -> float:
    """How far the sun may reach a window at an hour: from 9 to 19, flat about 14."""
    return exp(-(((hour - 14) / 5.5) ** 4))


def means() -> list[float]:
    """The state before anything was seen."""
    school = [school_c(hour) for hour in range(DAY_H)]
    other = [empty_c(hour) - school_c(hour) for hour in range(DAY_H)]
    return [*school, *other, FRIDAY_K, LASTING_K, 0.0, 0.0, 0.0]


def covariance(fast_sd: float, slow_sd: float) -> list[list[float]]:
    """How unsure it is: rows of the state's covariance, K²."""
    mean = means()
    depth = [(DAY_C - school_c(hour)) / (DAY_C - NIGHT_C) for hour in range(DAY_H)]
    idle = [mean[DAY_H + hour] / (NIGHT_C - DAY_C) for hour in range(DAY_H)]
    own = [NIGHT_OWN_SD + (NOON_OWN_SD - NIGHT_OWN_SD) * sunny(hour) for hour in range(DAY_H)]
    rows = [[0.0] * STATES for _ in range(STATES)]
    for a in range(DAY_H):
        for b in range(DAY_H):
            near = exp(-min((a - b) % DAY_H, (b - a) % DAY_H) / SMOOTH_H)
            rows[a][b] = LEVEL_SD**2 + DEPTH_SD**2 * depth[a] * depth[b] + own[a] * own[b] * near
            rows[DAY_H + a][DAY_H + b] = (
                OTHER_LEVEL_SD**2 + OTHER_DAY_SD**2 * idle[a] * idle[b] + OTHER_OWN_SD**2 * near
            )
    sds = ((FRIDAY, FRIDAY_SD), (LASTING, LASTING_SD), (FAST, fast_sd), (SLOW, slow_sd), (SUN, SUN_SD))
    for place, sd in sds:
        rows[place][place] = sd * sd
    return rows
