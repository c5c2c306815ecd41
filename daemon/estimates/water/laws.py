"""The laws that a small cup's evaporation may follow, and the grid's columns: a law and a vapour pressure.

Published laws agree on warm water and part company on cold. Shah's method, for undisturbed pools, lets go of
the water as its lift dies; laws of open pans are straight in the vapour deficit, as Dalton has it. Rohwer's
pans in still air lose 1.1 times what Shah's pools do at 25 °C under a room of 21 °C, 1.5 times at 20 °C and
1.8 times at 16 °C under a room as warm [C]. Which holds for one cup on one shelf nobody knows: a draught
makes it a pan, a still corner a pool. Both are believed, and fillings at different warmth tell them apart;
what is then still wrong with the size is k's part.

Bower & Saylor's relation has no column of its own: it is within a tenth of Shah's wherever the water is no
colder than the room, and says 0 elsewhere.
"""

from collections.abc import Sequence
from math import exp, sqrt

from daemon.science.air import saturation_vapour_pressure_pa
from daemon.science.evaporation import (
    K_PRIOR_LN_SD,
    ROOM_VAPOUR_LEAST_PA,
    ROOM_VAPOUR_MOST_PA,
    rohwer_mm_per_day,
    shah_at_vapour_pressures,
)

VAPOURS = 7
VAPOUR_STEP_PA = (ROOM_VAPOUR_MOST_PA - ROOM_VAPOUR_LEAST_PA) / (VAPOURS - 1)
VAPOUR_PA = tuple(ROOM_VAPOUR_LEAST_PA + j * VAPOUR_STEP_PA for j in range(VAPOURS))
# Shah's, Rohwer's. A classroom's air is seldom still [P]: weights of 0.5 leaned low in both simulated worlds.
LAW_PRIOR = (0.4, 0.6)
# The handbook's spread is that of the formulae on a small cup; part of it is that the laws differ, by ln 1.5
# at 20 °C. What is left is that of ln k under one law.
LAWS_LN_SD = 0.2
K_LN_SD = sqrt(K_PRIOR_LN_SD**2 - LAWS_LN_SD**2)
COLUMNS = len(LAW_PRIOR) * VAPOURS  # law by law, by vapour pressure within
# The column whose path of evaporation gives the shape of a day: of the law that never stands still.
REFERENCE = VAPOURS + VAPOURS // 2

# Rohwer's law in still air, kg/(m²·h) for each Pa of deficit; a mm is a kg on a m².
_AT_C = 25.0
ROHWER_PER_PA = rohwer_mm_per_day(_AT_C, 0.0) / (24.0 * saturation_vapour_pressure_pa(_AT_C))

# How much moister people make a room. Somebody who sits gives off 25 g of water vapour an hour as a child and
# 50 g as an adult (ASHRAE Handbook Fundamentals, chapter 18, latent heat [M]); with 15 to 25 m³ of fresh air
# an hour each, as schools are aired (ASHRAE 62.1 [M]), that is 1 to 3 g/m³, 140 to 450 Pa [C]. Rooms stand
# empty for some hours of a school day, so 200 Pa are taken [P]. It comes and goes in an hour and a half [P].
# What is known of rooms' air is of days with people: of those this is no more on the mean.
PEOPLE_PA = 200.0
COME_H, GO_H, AIRED_H = 8, 16, 1.5


def kg_per_m2_h(
    water_c: float, room_c: float, vapours_pa: Sequence[float], water_activity: float
) -> list[float]:
    """Evaporation at k = 1, kg/(m²·h), law by law, by vapour pressure within; never below 0."""
    shah = shah_at_vapour_pressures(water_c, room_c, vapours_pa, water_activity)
    surface_pa = water_activity * saturation_vapour_pressure_pa(water_c)
    return shah + [max(0.0, ROHWER_PER_PA * (surface_pa - pa)) for pa in vapours_pa]


def _share(hour: int) -> float:
    """How much of it is there in the middle of an hour of a day with people."""
    middle = hour + 0.5
    if hour < COME_H:
        return 0.0
    risen = 1.0 - exp(-(min(middle, GO_H) - COME_H) / AIRED_H)
    return risen * exp(-max(0.0, middle - GO_H) / AIRED_H)


_SHARES = tuple(_share(hour) for hour in range(24))
_MEAN = sum(_SHARES) / 24.0
WITH_PEOPLE_PA = tuple(PEOPLE_PA * (share - _MEAN) for share in _SHARES)
WITHOUT_PA = -PEOPLE_PA * _MEAN


def people_pa(hour: int, *, school_day: bool) -> float:
    """How far the vapour pressure of a local hour (0–23) lies above its mean of days with people, Pa."""
    return WITH_PEOPLE_PA[hour] if school_day else WITHOUT_PA
