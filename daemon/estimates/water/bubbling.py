"""Air that bubbles through a vessel, given in the station file or as is usual, and what it adds to the loss.

It carries water off beside what evaporates from the surface. The two are learned as one: the law of the loss
becomes the surface's plus the air's part over the median of k, so that k = median is both as expected, and
fillings teach the one factor. The air's part knows no rim and no cover, so both count for less.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from daemon.estimates.water.laws import K_LN_SD
from daemon.science.bubbled_air import SATURATED_SD, SATURATED_SHARE, bubbled_ml_per_h
from daemon.science.evaporation import (
    ROOM_VAPOUR_MEAN_PA,
    k_prior_median,
    loss_ml_per_h,
    shah_kg_per_m2_h,
)
from daemon.station import Vessel

# A cone where nothing was given: most have a pump of about 1 L/min, some a weak one or none [P].
USUAL_L_PER_MIN, USUAL_LN_SD = 0.9, 0.8
GIVEN_LN_SD = 0.25  # a flow that was read off a pump, or measured with a bottle [P]
STIRS_LN_SD = 0.15  # bubbles stir the surface and throw droplets, by how much nobody knows [P]
# What a cover leaves of the surface's loss, and how unsure that is, as a share of it [P].
COVER_LEAVES, COVER_SD_SHARE = 0.12, 0.8
# A hatching cone in a classroom: what the air's share of the loss is worked out for.
USUAL_WATER_C, USUAL_ROOM_C = 26.0, 21.0


@dataclass(frozen=True, slots=True)
class Bubbling:
    """Air through a vessel: its flow (L/min), the median of k, the air's usual share of the loss.

    `ln_sd` is how unsure the loss is before anything was learned.
    """

    l_per_min: float
    k_median: float
    share: float
    ln_sd: float

    def added(
        self,
        open_ml: Sequence[float],
        water_c: float,
        room_c: float,
        vapours_pa: Sequence[float],
        activity: float,
    ) -> list[float]:
        """The surface's loss at k = 1 with the air's part, mL an hour, by the room's vapour pressure."""
        if self.l_per_min <= 0.0:
            return list(open_ml)
        return [
            ml + bubbled_ml_per_h(self.l_per_min, water_c, room_c, vapour_pa, activity) / self.k_median
            for ml, vapour_pa in zip(open_ml, vapours_pa, strict=True)
        ]

    @property
    def cover_leaves(self) -> float:
        """What a cover leaves of the loss."""
        return self.share + (1.0 - self.share) * COVER_LEAVES

    @property
    def cover_sd_share(self) -> float:
        """How unsure that is, as a share of it."""
        return COVER_SD_SHARE * (1.0 - self.share) * COVER_LEAVES / self.cover_leaves


def bubbling_of(vessel: Vessel) -> Bubbling:
    """The air of a vessel; none in a cup or jar where nothing was given."""
    given = vessel.air_l_per_min
    l_per_min, flow_ln_sd = (USUAL_L_PER_MIN, USUAL_LN_SD) if given is None else (given, GIVEN_LN_SD)
    k_median = k_prior_median(vessel.rim_above_water_cm)
    if (given is None and vessel.kind != "cone") or l_per_min <= 0.0:
        return Bubbling(0.0, k_median, 0.0, K_LN_SD)
    carried = bubbled_ml_per_h(l_per_min, USUAL_WATER_C, USUAL_ROOM_C, ROOM_VAPOUR_MEAN_PA)
    shah = shah_kg_per_m2_h(USUAL_WATER_C, USUAL_ROOM_C, ROOM_VAPOUR_MEAN_PA)
    share = carried / (carried + k_median * loss_ml_per_h(shah, vessel.surface_cm2, USUAL_WATER_C))
    air_ln_sd = hypot(flow_ln_sd, SATURATED_SD / SATURATED_SHARE)
    ln_sd = hypot((1.0 - share) * K_LN_SD, share * air_ln_sd, STIRS_LN_SD)
    return Bubbling(l_per_min, k_median, share, ln_sd)
