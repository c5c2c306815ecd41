"""How the loss slows as the water sinks: the still air between water and rim stands in its way.

The pace at a depth d below the rim is 1/(1 + a·d) of that at the rim, with a = 0.54 per cm (`rim_factor`
in `science.evaporation` says why). Relative to the mark, with g = a/(surface·(1 + a·rim)), the level obeys
dL/du = 1/(1 + g·L), where u is what would have gone at the mark; that has a solution without steps:
(1 + g·L)² grows by 2·g·u.
"""

from dataclasses import dataclass
from math import sqrt

from daemon.estimates.water.bubbling import bubbling_of
from daemon.science.evaporation import RIM_SLOWS_PER_CM
from daemon.station import Vessel

RIM_SD_SHARE = 0.6  # of g: a draught reaches into one cup and not into another [P]


@dataclass(frozen=True, slots=True)
class Rim:
    """A vessel's rim: `per_ml` is g above, `least` the value of 1 + g·L with the water at the rim."""

    per_ml: float
    least: float

    @property
    def most_above_ml(self) -> float:
        """How far above the mark the rim is: no vessel holds more."""
        return (1.0 - self.least) / self.per_ml

    def slowness(self, loss_ml: float) -> float:
        """How many times longer a mL takes with the water so far below the mark than at the mark."""
        slowness = 1.0 + self.per_ml * loss_ml
        return slowness if slowness > self.least else self.least

    def sunk(self, loss_ml: float, open_ml: float) -> float:
        """The loss once `open_ml` more would have gone at the mark's pace."""
        began = self.slowness(loss_ml)
        return loss_ml + (sqrt(began * began + 2.0 * self.per_ml * open_ml) - began) / self.per_ml

    def spread(self, began_ml: float, ended_ml: float) -> float:
        """How far (sd, mL) the level may be off after such a fall, since the rim's own effect is a guess.

        From the solution above, dL/d ln g = −g·(L² − L₀²)/(2·(1 + g·L)).
        """
        moved = ended_ml * ended_ml - began_ml * began_ml
        return RIM_SD_SHARE * self.per_ml * abs(moved) / (2.0 * self.slowness(ended_ml))

    def before(self, loss_ml: float, open_ml: float) -> float:
        """The loss before `open_ml` went, at the mark's pace."""
        ended = self.slowness(loss_ml)
        square = max(self.least * self.least, ended * ended - 2.0 * self.per_ml * open_ml)
        beyond_ml = max(0.0, open_ml - (ended * ended - square) / (2.0 * self.per_ml)) / self.least
        return loss_ml - (ended - sqrt(square)) / self.per_ml - beyond_ml


def rim_of(vessel: Vessel) -> Rim:
    """The rim of a vessel with straight sides; what bubbling air carries off it does not slow."""
    at_mark = 1.0 + RIM_SLOWS_PER_CM * vessel.rim_above_water_cm
    slowed = 1.0 - bubbling_of(vessel).share
    per_ml = slowed * RIM_SLOWS_PER_CM / (vessel.surface_cm2 * at_mark)
    return Rim(per_ml, 1.0 - slowed * (1.0 - 1.0 / at_mark))
