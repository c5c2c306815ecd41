"""What a thermometer reads over minutes, from plain physics: in water, and out of it.

The water is the lumped cup of the handbook (Warmth: 250 mL, time constant 1.2 h), the bare capsule one lag of
two minutes. Neither shares code with the judge or with the simulated room.
"""

import math
import random
from collections.abc import Callable

LAG_MIN = 72.0


def shown(value: float, chance: random.Random, noise: float = 0.02) -> float:
    """What a DS18B20 shows of a temperature: sixteenths of a degree, with a little noise."""
    return round((value + chance.gauss(0.0, noise)) * 16) / 16


def relaxing(start_c: float, rest_c: float, lag_min: float = LAG_MIN) -> Callable[[float], float]:
    return lambda minutes: rest_c + (start_c - rest_c) * math.exp(-minutes / lag_min)


def in_air(
    start_c: float, air_c: float, dip_k: float = 2.5, dries_min: float = 8.0
) -> Callable[[float], float]:
    """A wet capsule with a lag of two minutes: towards the wet bulb, then towards the air."""
    at_dry_c = relaxing(start_c, air_c - dip_k, 2.0)(dries_min)
    return lambda minutes: (
        relaxing(start_c, air_c - dip_k, 2.0)(minutes)
        if minutes < dries_min
        else relaxing(at_dry_c, air_c, 2.0)(minutes - dries_min)
    )
