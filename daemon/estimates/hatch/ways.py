"""The coming water as a few ways in which its temperature may go, hour by hour, for the hatch to follow."""

from collections.abc import Sequence
from dataclasses import dataclass

from daemon.estimates.warmth.belief import WarmthBelief
from daemon.seconds import HOUR_S

FORESEEN_H = 96  # further ahead the days are alike, as far as can be known
# Five ways, alike likely: 10, 30 … 90 % of a normal, spread so that their variance is 1.
WAYS = (-1.463, -0.599, 0.0, 0.599, 1.463)
NOTHING_KNOWN_C, NOTHING_KNOWN_SD_C = 22.0, 3.0  # before any reading: a heated room, wide [P]


@dataclass(frozen=True, slots=True)
class WarmthPath:
    """One way: its weight, and the mean water temperature (°C) of clock hours from the present one on.

    Where the hours are used up, they come again.
    """

    weight: float
    hourly_c: tuple[float, ...]


def ways_ahead(warmth: WarmthBelief, at: int) -> Sequence[WarmthPath]:
    """The ways the water may go from `at` (Unix s) on: the forecast's median, and beside it as it may err.

    A way stays as far beside the median as it is: what makes one hour colder lasts [P].
    """
    coming = warmth.coming(at + FORESEEN_H * HOUR_S)
    hours = [(NOTHING_KNOWN_C, NOTHING_KNOWN_SD_C)]
    if coming is not None:
        began = at // HOUR_S * HOUR_S
        hours = [coming.coming_c(max(at, began + h * HOUR_S + HOUR_S // 2)) for h in range(FORESEEN_H)]
    weight = 1.0 / len(WAYS)
    return [WarmthPath(weight, tuple(middle + way * sd for middle, sd in hours)) for way in WAYS]
