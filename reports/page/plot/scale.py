"""A panel's scale: which value stands how high, and which values are named beside it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

_STEPS = (1.0, 2.0, 5.0)


@dataclass(frozen=True, slots=True)
class PlotScale:
    """From `low` at the foot to `high` at the top of a panel so many px high.

    Where it `bends`, each step of it is ten times as much as the one before, from ten on.
    """

    low: float
    high: float
    height_px: int
    bends: bool = False

    def y_px(self, value: float) -> int:
        """How far below the panel's top a value stands, in whole pixels; never outside the panel."""
        low, high, at = self.low, self.high, value
        if self.bends:
            low, high, at = _bent(low), _bent(high), _bent(at)
        share = (at - low) / (high - low) if high > low else 0.5
        return round(self.height_px * (1.0 - min(max(share, 0.0), 1.0)))


def _bent(value: float) -> float:
    return math.log10(1.0 + max(value, 0.0) / 10.0)


def round_values(low: float, high: float, most: int) -> list[float]:
    """The multiples of 1, 2 or 5 times a power of ten in a range, as many as there may be."""
    if not low < high:
        return []
    power = 10.0 ** math.floor(math.log10((high - low) / most))
    steps: Sequence[float] = [power * step for step in (*_STEPS, 10.0, 20.0)]
    step = next(step for step in steps if math.floor(high / step) - math.ceil(low / step) < most)
    return [n * step for n in range(math.ceil(low / step), math.floor(high / step) + 1)]
