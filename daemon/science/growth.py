"""After the hatch: how fast animals grow, what they live on, and when they are first fed."""

from bisect import bisect_right
from math import log

from daemon.science.valid_range import within

# Nauplius to adult: 30 d at 18 °C, 15 d at 30 °C; base 6.3 °C, K 356 °C·d (Tuz Lake study, abstract, 60 g/L).
BASE_C = 6.3
ADULT_C_D = 356.0
COLDEST_C = 15.0
HOTTEST_C = 30.0

# Length at 25 °C: Wurtsbaugh & Gliwicz 2001, in the Add-my-Pet collection [R, secondary]; days, cm.
LENGTH_AT_C = 25.0
LENGTHS = ((0.9, 0.063), (1.8, 0.115), (3.0, 0.181), (4.5, 0.333), (7.0, 0.609), (10.8, 0.704))
_AGES = tuple(age for age, _ in LENGTHS)

# Lost in the first 24 h without food, over strains (Vanhaecke, Lavens & Sorgeloos 1983) [R].
ENERGY_LOST_24_H = (0.22, 0.37)
DRY_WEIGHT_LOST_24_H = (0.16, 0.34)
ENERGY_AT_C = 25.0  # their culture temperature [M]

# Common practice in classrooms, no source: first feed about day three or four after the hatch was set.
FIRST_FEED_DAY = 3.0
FIRST_FEED_DAY_LATE = 4.0
FIRST_FEED_AT_C = 25.0


def days_to_adult(water_c: float) -> float:
    """Days from nauplius to adult at a steady `water_c` °C: 356/(t − 6.3), from rows at 18 and 30 °C.

    Refuses temperatures outside 15–30 °C, where no such row is near.
    """
    return ADULT_C_D / (within("water temperature", water_c, COLDEST_C, HOTTEST_C, "°C") - BASE_C)


def growth_pace(water_c: float) -> float:
    """Pace of growth relative to that at 25 °C, (t − 6.3)/18.7; 15–30 °C. Age at 25 °C is age times this."""
    return days_to_adult(LENGTH_AT_C) / days_to_adult(water_c)


def length_cm(age_d: float, water_c: float = LENGTH_AT_C) -> float:
    """Length of a well-fed animal `age_d` days after hatching, cm.

    Straight lines between the rows of Wurtsbaugh & Gliwicz 2001 at 25 °C, from 0.063 to 0.704 cm; carried to
    other temperatures by `growth_pace` (our assumption). Refuses ages before the first row, 0.9 d at 25 °C,
    and after the last, 10.8 d. Hungry or crowded animals are smaller.
    """
    pace = growth_pace(water_c)
    within("age", age_d, _AGES[0] / pace, _AGES[-1] / pace, "d")
    at_25_d = min(max(age_d * pace, _AGES[0]), _AGES[-1])
    index = min(bisect_right(_AGES, at_25_d), len(_AGES) - 1)
    (begin_d, begin_cm), (end_d, end_cm) = LENGTHS[index - 1], LENGTHS[index]
    return begin_cm + (end_cm - begin_cm) * (at_25_d - begin_d) / (end_d - begin_d)


def energy_left_range(hours_unfed: float) -> tuple[float, float]:
    """Least and most share of a nauplius's energy left after `hours_unfed` hours from hatching at 25 °C.

    22 to 37 % are lost in the first 24 h (Vanhaecke, Lavens & Sorgeloos 1983), over strains; at a steady
    rate of what is left in between (our assumption). Refused after 24 h.
    """
    return _left(hours_unfed, ENERGY_LOST_24_H)


def dry_weight_left_range(hours_unfed: float) -> tuple[float, float]:
    """As `energy_left_range`, for dry weight: 16 to 34 % are lost in the first 24 h."""
    return _left(hours_unfed, DRY_WEIGHT_LOST_24_H)


def _left(hours_unfed: float, lost_24_h: tuple[float, float]) -> tuple[float, float]:
    days = within("hours without food", hours_unfed, 0.0, 24.0, "h") / 24.0
    least_lost, most_lost = lost_24_h
    return (1.0 - most_lost) ** days, (1.0 - least_lost) ** days


def hours_to_half_energy(water_c: float = ENERGY_AT_C) -> tuple[float, float]:
    """Earliest and latest hours after hatching at which half of the energy is spent, unfed: 36–67 h at 25 °C.

    The first day's rate carried on, and to other temperatures by `growth_pace`: an extrapolation of ours,
    no published time at which the yolk is gone. It shows that the practice of a first feed on day three or
    four comes in time.
    """
    pace = growth_pace(water_c)
    least_lost, most_lost = ENERGY_LOST_24_H
    return _half_life_h(most_lost) / pace, _half_life_h(least_lost) / pace


def _half_life_h(lost_24_h: float) -> float:
    return 24.0 * log(0.5) / log(1.0 - lost_24_h)


def first_feed_days(water_c: float) -> tuple[float, float]:
    """Earliest and latest usual day of the first feed, counted from setting the cysts.

    Day three to four at 25 °C [P]; cooler is slower, carried over by `days_to_adult` (our assumption).
    """
    slower = days_to_adult(water_c) / days_to_adult(FIRST_FEED_AT_C)
    return FIRST_FEED_DAY * slower, FIRST_FEED_DAY_LATE * slower
