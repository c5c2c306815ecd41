"""After the hatch: how fast animals grow, and when they are first fed."""

from daemon.science.limits import within

# Nauplius to adult: 30 d at 18 °C, 15 d at 30 °C; base 6.3 °C, K 356 °C·d (Tuz Lake study, abstract, 60 g/L).
BASE_C = 6.3
ADULT_C_D = 356.0
COLDEST_C = 15.0
HOTTEST_C = 30.0

# Common practice in classrooms, no source: first feed about day three or four after the hatch was set.
FIRST_FEED_DAY = 3.0
FIRST_FEED_DAY_LATE = 4.0
FIRST_FEED_AT_C = 25.0


def days_to_adult(water_c: float) -> float:
    """Days from nauplius to adult at a steady `water_c` °C: 356/(t − 6.3), from rows at 18 and 30 °C.

    Refuses temperatures outside 15–30 °C, where no such row is near.
    """
    return ADULT_C_D / (within("water temperature", water_c, COLDEST_C, HOTTEST_C, "°C") - BASE_C)


def first_feed_days(water_c: float) -> tuple[float, float]:
    """Earliest and latest usual day of the first feed, counted from setting the cysts.

    Day three to four at 25 °C [P]; cooler is slower, carried over by `days_to_adult` (our assumption).
    """
    slower = days_to_adult(water_c) / days_to_adult(FIRST_FEED_AT_C)
    return FIRST_FEED_DAY * slower, FIRST_FEED_DAY_LATE * slower
