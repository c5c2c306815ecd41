"""Planned doses as the card and the sheet of the station's vessels want them."""

from collections.abc import Sequence
from dataclasses import replace

from daemon.care.vessel_limits import USUAL_CUP_G_PER_L
from daemon.estimates.quantile import Estimate
from daemon.estimates.water.salt import USUAL_SALT_G_PER_L
from daemon.planning.dose import (
    GOOD_SALT_G_PER_KG,
    SPARE,
    CystDose,
    CystWish,
    DoseWish,
    PlannedDose,
    Shopping,
    most_cysts_g,
    planned,
    salinity_of,
    shopping,
)
from daemon.planning.spoons import GRAINS, Grain, Spoonfuls, best_spoonfuls, spoonfuls
from daemon.planning.tin_yield import TinYield, any_tin
from daemon.science.counts import PINCH_CYSTS, PINCH_FACTOR
from daemon.science.soda import MOST_SODA_ADVISED_G_PER_L, PH_ERROR
from daemon.station import CONE, Vessel
from reports.page.paper.dose import Dose, Recipe
from reports.planning.dose_figures import (
    CystFigures,
    DoseFigures,
    SaltBySpoon,
    SaltSpoons,
    ScaleReading,
    ShoppingList,
    VesselDose,
)
from reports.planning.warned import AlarmedTin, UnknownTin
from reports.records import Range

Named = tuple[tuple[str, int], ...]


def doses_of(
    vessels: Sequence[Vessel], wish: DoseWish, *, usual_cysts: bool
) -> list[tuple[Named, PlannedDose]]:
    """A dose for vessels alike, in the station's order, each filled to its mark.

    `usual_cysts`: nobody said how many, so a cone has none: it takes whatever is wanted. Raises OutOfRange.
    """
    alike: dict[tuple[float, bool], list[Vessel]] = {}
    for vessel in vessels:
        alike.setdefault((vessel.mark_ml, usual_cysts and vessel.kind == CONE), []).append(vessel)
    return [
        (
            tuple((one.id, one.count) for one in some),
            planned(
                replace(
                    wish,
                    vessels=sum(one.count for one in some),
                    volume_ml=mark_ml,
                    cysts=None if bare else wish.cysts,
                )
            ),
        )
        for (mark_ml, bare), some in alike.items()
    ]


def figures_of(
    doses: Sequence[tuple[Named, PlannedDose]],
    unknown_tin: UnknownTin | None = None,
    alarmed_tin: AlarmedTin | None = None,
) -> DoseFigures:
    """What the card is made from, all of one recipe."""
    one = doses[0][1]
    wish, brine, scale = one.wish, one.brine, one.wish.scale
    mixed, aired = brine.ph_mixed, brine.ph_aired
    return DoseFigures(
        doses=tuple(_vessel_dose(names, dose) for names, dose in doses),
        salt_g_per_l=wish.salt_g_per_l,
        salt_means=wish.salt_means,
        salt_g_per_kg=brine.salinity_g_per_kg,
        good_salt_g_per_kg=GOOD_SALT_G_PER_KG,
        soda_g_per_l=wish.soda_g_per_l,
        soda_most_g_per_l=MOST_SODA_ADVISED_G_PER_L,
        ph=None if mixed is None or aired is None else (mixed.middle, aired.middle),
        ph_error=PH_ERROR,
        scale=None
        if brine.reading is None
        else ScaleReading(scale.kind, scale.calibrated_c, scale.reference_c, wish.water_c, brine.reading),
        tested=wish.tin.tested,
        pinch_g=_range(wish.tin.g_of_pinches(1.0)),
        buy=_shopping_list(shopping([dose for _, dose in doses])),
        unknown_tin=unknown_tin,
        alarmed_tin=alarmed_tin,
    )


def _shopping_list(buy: Shopping) -> ShoppingList:
    return ShoppingList(buy.water_ml, buy.salt_g, buy.soda_g, buy.cysts_g, SPARE)


def _vessel_dose(names: Named, dose: PlannedDose) -> VesselDose:
    each, count = dose.brine, dose.wish.vessels
    return VesselDose(
        names=names,
        count=count,
        volume_ml=dose.wish.volume_ml,
        water_ml=each.water_ml,
        salt_g=each.salt_g,
        soda_g=each.soda_g,
        cysts=None
        if dose.cysts is None or dose.wish.cysts is None
        else _cysts(dose.wish.cysts, dose.cysts, dose.wish.tin),
        by_spoon=tuple(
            SaltBySpoon(grain, _spoons(one), _spoons(every))
            for (grain, one), (_, every) in zip(
                spoons_for(each.salt_g), spoons_for(each.salt_g * count), strict=True
            )
        ),
    )


def spoons_for(salt_g: float) -> list[tuple[Grain, Spoonfuls | None]]:
    """The spoons for an amount, by grain."""
    return [(grain, best_spoonfuls(salt_g, grain)) for grain in GRAINS]


def _cysts(wish: CystWish, cysts: CystDose, tin: TinYield) -> CystFigures:
    return CystFigures(
        way=wish.way,
        amount=wish.amount,
        taken_g=cysts.in_vessel_g.p50,
        sure_g=cysts.g.p90,
        sure_cysts=cysts.g.p90 * tin.cysts_per_g,
        cysts=_range(cysts.cysts),
        animals=_range(cysts.animals),
        most_g=cysts.most_g,
        air_enough=cysts.air_enough,
        can_be_weighed=cysts.can_be_weighed,
    )


def _range(found: Estimate) -> Range:
    return Range(found.p10, found.p50, found.p90)


def _spoons(found: Spoonfuls | None) -> SaltSpoons | None:
    return None if found is None else SaltSpoons(found.spoon, found.number, found.low_g, found.high_g)


def recipe() -> Recipe:
    """The usual one, whose sources stand where its figures do."""
    return Recipe(
        salt_g_per_l=USUAL_SALT_G_PER_L,
        salt_g_per_kg=salinity_of(USUAL_SALT_G_PER_L, "in", 25.0),
        soda_most_g_per_l=MOST_SODA_ADVISED_G_PER_L,
        cysts_g_per_l=USUAL_CUP_G_PER_L,
        pinch_cysts=PINCH_CYSTS,
        pinch_factor=PINCH_FACTOR,
        pinch_g=any_tin().g_of_pinches(1.0).p50,
    )


def dose_of(vessel: Vessel) -> Dose:
    """Of the usual recipe, for water up to the mark. A cone is set with whatever is wanted."""
    wish = DoseWish(vessel.count, vessel.mark_ml, any_tin(), soda_g_per_l=MOST_SODA_ADVISED_G_PER_L)
    ((_, dose),) = doses_of([vessel], wish, usual_cysts=True)
    one = spoonfuls(dose.brine.salt_g, "heaping-tablespoon", "fine")
    every = spoonfuls(dose.brine.salt_g * vessel.count, "heaping-tablespoon", "fine")
    return Dose(
        vessel.id,
        vessel.count,
        vessel.mark_ml,
        dose.brine.salt_g,
        dose.brine.soda_g,
        None if dose.cysts is None else dose.cysts.g.p50,
        most_cysts_g(vessel.mark_ml),
        None if one is None else round(one.number),
        None if every is None else round(every.number),
    )
