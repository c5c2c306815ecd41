"""What may be poured into a vessel now without harm: the one place where plain water is advised.

Plain water is poured only where a batch runs and its water is kept, not above a mark that the water stands
over already, not over the brim, and not where it would leave less salt than the vessel's own limit, or much
less than was set because some was drawn off. There brine is due in its place. Where half of the mark was
drawn, nothing is, until somebody says whether the batch goes on.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from daemon.estimates.quantile import Estimate
from daemon.estimates.water.outlook import Fill, WaterOutlook
from daemon.estimates.water.salt import recipe_g_per_kg
from daemon.science.brine import salt_g_of
from daemon.stages import Stage
from daemon.station import Vessel
from daemon.vessel_state import VesselState

# So much more than the least salt is left, as a share of it: 1 g/kg of 10, what a refractometer reads
# to (common practice, no source).
SALT_MARGIN = 0.1
# Evaporation takes water only, drawing off salt too. Plain water may then leave less than was set by this
# share: room for a look, none for a harvest [P].
DRAWN_SHARE = 0.15
# No brine to pour is mixed stronger than this: 100 g in a litre of water.
STRONGEST_G_PER_L = 100.0
_RECIPE_C = 25.0


@dataclass(frozen=True, slots=True)
class BrinePour:
    """So much brine, mL a cup, of so many g of salt in a litre of water."""

    ml: float
    salt_g_per_l: float


@dataclass(frozen=True, slots=True)
class Pour:
    """What is due up to the mark, a cup: plain water, or brine in its place; 0 and None where neither is."""

    plain_ml: float = 0.0
    brine: BrinePour | None = None


def bears_plain_ml(vessel: Vessel, state: VesselState, loss_ml: float, salinity_g_per_kg: float) -> float:
    """How much plain water a cup bears before it has the least salt it is to have, mL.

    By volume, S·V/(V + x): a mL of brine weighs more than one of water, so that is on the safe side.
    """
    least, there_ml = _least_g_per_kg(vessel, state), max(0.0, vessel.mark_ml - loss_ml)
    return float("inf") if least <= 0.0 else max(0.0, there_ml * (salinity_g_per_kg / least - 1.0))


def up_to_the_mark(vessel: Vessel, state: VesselState, believed: Mapping[str, Estimate]) -> Pour:
    """What brings the water to the mark, by the middle of what is believed."""
    loss, salinity = believed.get("loss_ml"), believed.get("salinity_g_per_kg")
    if not state.rule.keeps_water or loss is None or salinity is None or loss.p50 <= 0.0:
        return Pour()
    if loss.p50 > bears_plain_ml(vessel, state, loss.p50, salinity.p50):
        return Pour(brine=BrinePour(loss.p50, brine_g_per_l(vessel, state, loss.p50, salinity.p50)))
    return Pour(plain_ml=loss.p50)


def until(
    vessel: Vessel, state: VesselState, water: WaterOutlook, returns_at: int
) -> tuple[Fill, BrinePour | None, WaterOutlook]:
    """What to pour now to last until somebody returns (Unix s), and the outlook once it is poured.

    The fill's `add_ml` is plain water; the brine stands in its place, up to the mark.
    """
    loss_ml, salinity = water.loss_ml().p50, water.salinity().p50
    bears_ml = bears_plain_ml(vessel, state, loss_ml, salinity) if state.rule.keeps_water else 0.0
    if state.rule.keeps_water and loss_ml >= water.fill_error_ml and bears_ml < loss_ml:
        brine = BrinePour(loss_ml, brine_g_per_l(vessel, state, loss_ml, salinity))
        poured_g = salt_g_of(brine.ml, recipe_g_per_kg(brine.salt_g_per_l), _RECIPE_C)
        filled = replace(water.filled_to(0.0), salt=water.salt.plus(poured_g))
        return filled.left_alone(returns_at, vessel.low_ml, vessel.brim_ml), brine, filled
    fill = water.safe_fill(returns_at, vessel.low_ml, vessel.brim_ml, bears_ml)
    return fill, None, water.filled_to(fill.above_mark_ml) if fill.add_ml > 0.0 else water


def refill(vessel: Vessel, state: VesselState, loss_ml: float) -> BrinePour | None:
    """What a vessel takes to go on out of which most was drawn; None of any other."""
    if state.stage is not Stage.HARVESTED:
        return None
    return BrinePour(max(0.0, loss_ml), as_set_g_per_l(vessel, state))


def brine_g_per_l(vessel: Vessel, state: VesselState, loss_ml: float, salinity_g_per_kg: float) -> float:
    """Brine for a vessel, g in a litre of water: as it was set, where that leaves salt enough; else not below
    the middle of its limits, so that it does good wherever the salt is short.
    """
    recipe = as_set_g_per_l(vessel, state)
    there_ml = max(0.0, vessel.mark_ml - loss_ml)
    left = (there_ml * salinity_g_per_kg + loss_ml * recipe_g_per_kg(recipe)) / (there_ml + loss_ml)
    return recipe if left >= _least_g_per_kg(vessel, state) else max(recipe, _middle_g_per_l(vessel))


def as_set_g_per_l(vessel: Vessel, state: VesselState) -> float:
    """The brine that a batch was set with, g in a litre of water; the middle of the vessel's limits, in whole
    grams, where that was not told or lies beyond them.
    """
    recipe = state.recipe_g_per_l
    if recipe is not None:
        salinity = recipe_g_per_kg(recipe)
        if vessel.salinity_low_g_per_kg <= salinity <= vessel.salinity_high_g_per_kg:
            return recipe
    return _middle_g_per_l(vessel)


def _least_g_per_kg(vessel: Vessel, state: VesselState) -> float:
    """The least salt that plain water may leave."""
    least = (1.0 + SALT_MARGIN) * vessel.salinity_low_g_per_kg
    if state.drawn_ml <= 0.0:
        return least
    return max(least, (1.0 - DRAWN_SHARE) * recipe_g_per_kg(as_set_g_per_l(vessel, state)))


def _middle_g_per_l(vessel: Vessel) -> float:
    wanted = 0.5 * (vessel.salinity_low_g_per_kg + vessel.salinity_high_g_per_kg)
    return min(STRONGEST_G_PER_L, float(round(1000.0 * wanted / (1000.0 - wanted))))
