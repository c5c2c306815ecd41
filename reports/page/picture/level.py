"""Where the water stands in a picture: heights for millilitres, and lines on the glass to count them by.

From the brim down to the low mark a millilitre is as high everywhere. That stretch is drawn larger than
what lies below, which nobody has to read: there the glass is drawn broken.
"""

import math
from dataclasses import dataclass

from reports.page.picture.vessel_picture import VesselPicture

# So many lines on the glass at most.
_LINES = 12
# From so unlike a scale on it is a break.
_UNLIKE = 1.2
_LEAST_ML = 0.1


@dataclass(frozen=True, slots=True)
class WaterScale:
    """Heights for how far the water stands below the mark."""

    low_ml: float
    brim_ml: float
    mark_ml: float
    rim_y: float
    brim_y: float
    low_y: float
    bottom_y: float

    def y(self, loss_ml: float) -> float:
        """The height at which water that lacks so much stands; never outside the vessel."""
        if loss_ml <= self.low_ml:
            return max(self.low_y - (self.low_ml - loss_ml) * self._per_ml, self.rim_y)
        return min(self.low_y + (loss_ml - self.low_ml) * self._per_ml_below, self.bottom_y)

    @property
    def mark_y(self) -> float:
        """The mark's height."""
        return self.y(0.0)

    @property
    def is_broken(self) -> bool:
        """Whether what lies below the low mark is drawn to another scale."""
        ratio = self._per_ml / self._per_ml_below
        return not 1 / _UNLIKE <= ratio <= _UNLIKE

    @property
    def line_ml(self) -> float:
        """How many mL lie between two lines on the glass: 1, 2 or 5, with as many noughts as need be."""
        least = (self.low_ml + self.brim_ml) / _LINES
        tens = 10.0 ** math.floor(math.log10(least))
        return next(step * tens for step in (1, 2, 5, 10, 20) if step * tens >= least * (1 - 1e-9))

    def lines(self) -> list[float]:
        """Where these lines are, as mL below the mark, from the brim to the low mark."""
        step = self.line_ml
        first, last = math.ceil(-self.brim_ml / step - 1e-6), math.floor(self.low_ml / step + 1e-6)
        return [n * step for n in range(first, last + 1)]

    @property
    def _per_ml(self) -> float:
        return (self.low_y - self.brim_y) / (self.low_ml + self.brim_ml)

    @property
    def _per_ml_below(self) -> float:
        return (self.bottom_y - self.low_y) / max(self.mark_ml - self.low_ml, _LEAST_ML)


def scale_of(
    picture: VesselPicture, rim_y: float, brim_y: float, low_y: float, bottom_y: float
) -> WaterScale:
    """The scale of a vessel's picture, between these heights."""
    low_ml = max(picture.low_ml, _LEAST_ML)
    return WaterScale(
        low_ml, max(picture.brim_ml, 0.0), max(picture.shape.mark_ml, low_ml), rim_y, brim_y, low_y, bottom_y
    )
