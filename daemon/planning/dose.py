"""The dose of any number of vessels alike: water, salt, baking soda, cysts, and what to buy.

Grams and mL are of one vessel unless a name ends in `_all`.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10
from typing import Literal

from daemon.care.vessel_limits import USUAL_CUP_G_PER_L
from daemon.estimates.quantile import Estimate
from daemon.estimates.water.salt import USUAL_SALT_G_PER_L
from daemon.planning.tin_yield import PINCH_LN_SD, TinYield, about
from daemon.science import brine, hydrometer, soda
from daemon.science.counts import PINCH_CYSTS
from daemon.science.hatch_needs import most_cysts_g_per_l
from daemon.science.valid_range import within

SaltMeans = Literal["in", "to"]  # so much salt stirred in a litre of water; or made up to a litre of brine
Way = Literal["g-per-l", "g", "pinches", "counted", "animals"]

# The least and the most of what may be asked for.
LIMITS: Mapping[str, tuple[float, float]] = {
    "vessels": (1, 2000),
    "volume_ml": (1.0, 1e6),
    "salt_g_per_l": (0.0, 120.0),
    "soda_g_per_l": (0.0, soda.MOST_SODA_G_PER_L),
    "water_c": (hydrometer.COLDEST_C, hydrometer.HOTTEST_C),
}
AMOUNTS: Mapping[Way, tuple[float, float]] = {
    "g-per-l": (1e-6, 1000.0),
    "g": (1e-6, 1e6),
    "pinches": (0.1, 1000.0),
    "counted": (1.0, 1e9),
    "animals": (1.0, 1e9),
}
USUAL_SODA_G_PER_L = 0.5  # half of the most that is advised [P]
# Salt, soda and water: a quarter more, for a spilled cup or one set anew [P]. Cysts: as much again, for a
# test of the tin before and a second try after [P].
SPARE, CYSTS_SPARE = 0.25, 1.0
GOOD_SALT_G_PER_KG = (5.0, 35.0)  # FAO 428 [R]
USUAL_SCALE = hydrometer.Scale()
LEAST_WEIGHED_G = 0.01  # what a fine kitchen scale shows [P]


_ASKED: Mapping[Way, str] = {
    "g-per-l": "cysts in g/L",
    "g": "cysts in g",
    "pinches": "pinches",
    "counted": "cysts",
    "animals": "animals",
}


@dataclass(frozen=True, slots=True)
class CystWish:
    """How the cysts are given: grams a litre, grams, pinches or counted cysts a vessel, or animals wanted."""

    way: Way = "g-per-l"
    amount: float = USUAL_CUP_G_PER_L


@dataclass(frozen=True, slots=True)
class DoseWish:
    """What somebody wants in each of so many vessels; `volume_ml` is as `salt_means` has it."""

    vessels: int
    volume_ml: float
    tin: TinYield
    salt_g_per_l: float = USUAL_SALT_G_PER_L
    salt_means: SaltMeans = "in"
    soda_g_per_l: float = 0.0
    cysts: CystWish | None = CystWish()
    water_c: float = 25.0
    scale: hydrometer.Scale = USUAL_SCALE


@dataclass(frozen=True, slots=True)
class BrineDose:
    """Water, salt and soda of one vessel, what they make, and what a hydrometer reads in it.

    `reading` is None where the brine is too strong, or too cold or hot, for what is known of hydrometers;
    `ph_mixed` and `ph_aired` where there is no soda, or none is known of such brine.
    """

    water_ml: float
    brine_ml: float
    salt_g: float
    soda_g: float
    salinity_g_per_kg: float
    reading: float | None
    ph_mixed: soda.PhRange | None
    ph_aired: soda.PhRange | None


@dataclass(frozen=True, slots=True)
class CystDose:
    """Cysts of one vessel: what to take, what that holds, and what hatches from it.

    `g` is what has to be set for the wish: for wanted animals the p90 gives at least so many nine times in
    ten, and the p50 is taken. `most_g` is the most there is air for; `in_vessel_g` is what is then in there.
    """

    g: Estimate
    in_vessel_g: Estimate
    cysts: Estimate
    animals: Estimate
    most_g: float

    @property
    def air_enough(self) -> bool:
        """Whether they have air enough, even where a pinch was a large one."""
        return self.in_vessel_g.p90 <= self.most_g * (1.0 + 1e-9)

    @property
    def bought_g(self) -> float:
        """What one vessel takes of the tin with spare, or as large pinches may be."""
        return max(self.in_vessel_g.p90, (1.0 + CYSTS_SPARE) * self.in_vessel_g.p50)

    @property
    def can_be_weighed(self) -> bool:
        """Whether a fine scale shows one vessel's cysts."""
        return self.g.p50 >= LEAST_WEIGHED_G


@dataclass(frozen=True, slots=True)
class Shopping:
    """What to buy for all vessels, with spare, rounded up."""

    water_ml: float
    salt_g: float
    soda_g: float
    cysts_g: float


@dataclass(frozen=True, slots=True)
class PlannedDose:
    """One vessel's dose; `cysts` is None where none were asked for."""

    wish: DoseWish
    brine: BrineDose
    cysts: CystDose | None


def planned(wish: DoseWish) -> PlannedDose:
    """The dose for a wish. Raises OutOfRange for amounts beyond what is known or sensible."""
    within("vessels", wish.vessels, *LIMITS["vessels"])
    brine_dose = brine_of(wish)
    cysts = None if wish.cysts is None else cysts_of(wish.cysts, wish.volume_ml, wish.tin)
    return PlannedDose(wish, brine_dose, cysts)


def brine_of(wish: DoseWish) -> BrineDose:
    """Water, salt and soda for one vessel."""
    litres = within("volume", wish.volume_ml, *LIMITS["volume_ml"], "mL") / 1000.0
    within("salt", wish.salt_g_per_l, *LIMITS["salt_g_per_l"], "g/L")
    within("soda", wish.soda_g_per_l, *LIMITS["soda_g_per_l"], "g/L")
    within("water temperature", wish.water_c, *LIMITS["water_c"], "°C")
    salt_g = wish.salt_g_per_l * litres
    salinity = salinity_of(wish.salt_g_per_l, wish.salt_means, wish.water_c)
    if wish.salt_means == "in":
        water_ml = wish.volume_ml
        water_g = litres * brine.WATER_G_IN_A_LITRE_AT_25_C
        brine_ml = brine.volume_ml_of(salt_g, water_g, wish.water_c)
    else:
        brine_ml = wish.volume_ml
        water_g = brine.water_g_of(brine_ml, salinity, wish.water_c)
        water_ml = 1000.0 * water_g / brine.WATER_G_IN_A_LITRE_AT_25_C
    mixed, aired = _ph(wish.soda_g_per_l, salinity, wish.water_c)
    return BrineDose(
        water_ml=water_ml,
        brine_ml=brine_ml,
        salt_g=salt_g,
        soda_g=wish.soda_g_per_l * litres,
        salinity_g_per_kg=salinity,
        reading=_reading(salinity, wish.water_c, wish.scale),
        ph_mixed=mixed,
        ph_aired=aired,
    )


def salinity_of(salt_g_per_l: float, means: SaltMeans, water_c: float) -> float:
    """Grams of salt in a kg of brine that a recipe makes; `water_c` counts for one made up to a litre."""
    if means == "in":
        return brine.salinity_in_a_litre(salt_g_per_l)
    return brine.salinity_to_a_litre(salt_g_per_l, water_c)


def salt_g_per_l_of(salinity_g_per_kg: float, means: SaltMeans, water_c: float) -> float:
    """The way back: the recipe for a wanted salinity."""
    if means == "in":
        return brine.salt_g_in_a_litre(salinity_g_per_kg)
    return brine.g_per_l(salinity_g_per_kg, water_c)


def cysts_of(wish: CystWish, volume_ml: float, tin: TinYield) -> CystDose:
    """Cysts for one vessel of so many mL."""
    most_g = most_cysts_g(volume_ml)
    amount = within(_ASKED[wish.way], wish.amount, *AMOUNTS[wish.way])
    match wish.way:
        case "counted":
            g = tin.g_of_counted(amount)
            return CystDose(g, g, _exactly(amount), tin.animals_of_counted(amount), most_g)
        case "pinches":
            g = tin.g_of_pinches(amount)
            middle = amount * PINCH_CYSTS
            cysts = about(middle, PINCH_LN_SD)
            return CystDose(g, g, cysts, tin.animals_of_about(middle, PINCH_LN_SD), most_g)
        case "animals":
            g = tin.g_for_animals(amount)
            return _weighed(g, g.p50, tin, most_g)
        case "g":
            return _weighed(_exactly(amount), amount, tin, most_g)
        case "g-per-l":
            each_g = amount * volume_ml / 1000.0
            return _weighed(_exactly(each_g), each_g, tin, most_g)


def most_cysts_g(volume_ml: float) -> float:
    """The most that have air enough in so many mL (FAO 428)."""
    return most_cysts_g_per_l(volume_ml / 1000.0) * volume_ml / 1000.0


def _weighed(g: Estimate, taken_g: float, tin: TinYield, most_g: float) -> CystDose:
    return CystDose(g, _exactly(taken_g), tin.cysts_of(taken_g), tin.animals_of_g(taken_g), most_g)


def _exactly(value: float) -> Estimate:
    return Estimate(value, value, value)


def _reading(salinity: float, water_c: float, scale: hydrometer.Scale) -> float | None:
    if salinity > hydrometer.MOST_SALT_G_PER_KG:
        return None
    return hydrometer.reading_of_salinity(salinity, water_c, scale)


def _ph(
    soda_g_per_l: float, salinity: float, water_c: float
) -> tuple[soda.PhRange | None, soda.PhRange | None]:
    """Just mixed, and after long standing open to air."""
    known = soda_g_per_l >= soda.LEAST_SODA_G_PER_L and salinity <= soda.MOST_SALT_G_PER_KG
    if not known or not soda.COLDEST_C <= water_c <= soda.HOTTEST_C:
        return None, None
    some = soda_g_per_l, salinity, water_c
    return soda.ph_just_mixed(*some), soda.ph_open_to_air(*some)


def shopping(doses: Sequence[PlannedDose]) -> Shopping:
    """What to buy for all vessels of some doses, with spare, rounded up."""

    def of_all(each: Callable[[PlannedDose], float], times: float) -> float:
        return _rounded_up(sum(dose.wish.vessels * each(dose) for dose in doses) * times)

    return Shopping(
        water_ml=of_all(lambda dose: dose.brine.water_ml, 1.0 + SPARE),
        salt_g=of_all(lambda dose: dose.brine.salt_g, 1.0 + SPARE),
        soda_g=of_all(lambda dose: dose.brine.soda_g, 1.0 + SPARE),
        cysts_g=of_all(lambda dose: 0.0 if dose.cysts is None else dose.cysts.bought_g, 1.0),
    )


def _rounded_up(amount: float) -> float:
    """To two figures: nobody buys 2.83 g."""
    if amount <= 0.0:
        return 0.0
    step = 10.0 ** (floor(log10(amount)) - 1)
    return round(ceil(amount / step - 1e-9) * step, 9)
