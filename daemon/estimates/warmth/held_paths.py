"""The paths of a forecast on which a heater works: there the water falls no further than it is held."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp

from daemon.estimates.warmth.heater import Held
from daemon.estimates.warmth.normal_paths import PATHS, order, shares

LEVEL_ORDER, HEATS_ORDER, SWING_ORDER = 431, 433, 2000
# A moment stands for its hour, in which a thermostat turns the water: one of ten is at one of its marks [P].
AT_A_MARK = 0.1
RISES_LOG_SD = 0.5  # of how fast a heater warms the water, from path to path [P]


@dataclass(frozen=True, slots=True)
class _HeldPath:
    """Where a heater holds the water on one path, and how fast it gets there."""

    level_c: float
    rise_k_per_h: float


class HeldPaths:
    """A heater works on as many paths as it is believed to, always on the same ones."""

    def __init__(self, held: Held) -> None:
        self._swing_k = held.swing_k
        count = round(held.share * PATHS)
        apart = zip(order(LEVEL_ORDER), order(HEATS_ORDER), strict=True)
        self._paths = [
            _HeldPath(held.level_c + held.level_sd_c * a, held.rise_k_per_h * exp(RISES_LOG_SD * b))
            if path * 23 % PATHS < count
            else None
            for path, (a, b) in enumerate(apart)
        ]

    def heated(self, passive: list[float], before: Sequence[float], hours: float, step: int) -> list[float]:
        """What it makes of water that would be `passive` after so many hours, and was `before`, °C.

        A thermostat's water is anywhere between its two marks, and never beyond.
        """
        reach = self._swing_k / (1.0 - AT_A_MARK)
        swing = [
            min(self._swing_k, max(-self._swing_k, reach * (2.0 * share - 1.0)))
            for share in shares(SWING_ORDER + step)
        ]
        return [
            water if path is None else max(water, min(path.level_c + k, began + path.rise_k_per_h * hours))
            for water, began, path, k in zip(passive, before, self._paths, swing, strict=True)
        ]
