"""How fast water leaves an open cup in still room air.

E is kg of water per m² and hour, numerically mm an hour. Formulae for pools spread three- to sevenfold
on a 7 cm cup, so they give the *shape* and a factor k learned from top-ups gives the size. Beliefs are made
of Shah's and of Rohwer's.
"""

from collections.abc import Iterable
from math import exp, sqrt

from daemon.science import air, brine
from daemon.science.air import (
    LEAST_PRESSURE_PA,
    MOST_PRESSURE_PA,
    MOST_VAPOUR_PA,
    R_DRY_AIR,
    SEA_LEVEL_PA,
    WATER_TO_AIR,
    ZERO_C_IN_K,
    dry_air_density_kg_per_m3,
    humidity_ratio,
    saturation_vapour_pressure_pa,
)
from daemon.science.valid_range import OutOfRange, within

# The factor k before anything is learned: the spread of the published formulae on a small cup.
K_PRIOR_LN_SD = 0.5
K_DRIFT_PER_SQRT_DAY = 0.04  # of ln k: draughts and seasons move it slowly
K_MEDIAN_AT_RIM = 1.0
K_MEDIAN_BELOW_RIM = 0.65  # at 1 cm; published figures of what a rim takes off run from 40 to 65 %
RIM_SLOWS_PER_CM = K_MEDIAN_AT_RIM / K_MEDIAN_BELOW_RIM - 1.0

# A room without a humidity sensor: a judgement, from published indoor ranges (42 ± 12 % at 21 °C).
ROOM_VAPOUR_MEAN_PA = 1050.0
ROOM_VAPOUR_SD_PA = 300.0
ROOM_VAPOUR_LEAST_PA = 300.0
ROOM_VAPOUR_MOST_PA = 1950.0

SHERWOOD_OF_A_CUP = 11.0  # natural convection over a warm 7 cm cup, by the Sherwood–Rayleigh relation below

FILL_ERROR_CM = 0.08  # of level, one standard deviation, when somebody fills to a mark by eye

PA_PER_MMHG = 133.322
GRAVITY_M_PER_S2 = 9.80665


def k_prior_median(rim_above_water_cm: float) -> float:
    """Median of k before the first top-up, for a rim so many cm above the water.

    1.0 with water at the rim, 0.65 from 1 cm below it on (handbook), by `rim_factor` between.
    """
    depth_cm = within("rim above water", rim_above_water_cm, 0.0, 1000.0, "cm")
    return K_MEDIAN_AT_RIM * rim_factor(min(depth_cm, 1.0))


def rim_factor(depth_cm: float) -> float:
    """Evaporation of water `depth_cm` below the rim, as a fraction of that of water at the rim.

    1/(1 + 0.54·d): the still air under the rim as a resistance in series with the open air over it, with
    0.65 at 1 cm from the handbook. The 40 to 65 % that a rim is published to take off are met from 1.2 to
    3.4 cm. That it goes on so is our judgement; `still_column_factor` is how low it could go. Refused
    beyond 1000 cm.
    """
    return 1.0 / (1.0 + RIM_SLOWS_PER_CM * within("rim above water", depth_cm, 0.0, 1000.0, "cm"))


def still_column_factor(depth_cm: float, width_cm: float, sherwood: float = SHERWOOD_OF_A_CUP) -> float:
    """Cross-check: the same fraction if the air below the rim did not stir at all.

    Two resistances in a row, the room's film w/(Sh·D) and a column of still air d/D (Fick's law):
    1/(1 + Sh·d/w). In a 7 cm cup, 0.39 at 1 cm and 0.18 at 3 cm. It is the least that a rim can leave: damp
    air over warm water is lighter than the room's and rises, so the cup's air does stir. Sh of about 11 is
    that of `sherwood_rayleigh_kg_per_m2_h` for a warm 7 cm cup; its use beneath a rim is our judgement.
    """
    within("rim above water", depth_cm, 0.0, 1000.0, "cm")
    width_cm = within("width", width_cm, 0.5, 10_000.0, "cm")
    return 1.0 / (1.0 + within("Sherwood number", sherwood, 0.1, 1e4) * depth_cm / width_cm)


def fill_error_ml(surface_cm2: float) -> float:
    """Standard deviation of one filling to the mark, mL: 0.08 cm of level, 3 mL in a 7 cm cup."""
    return FILL_ERROR_CM * within("water surface", surface_cm2, 0.0, 1e6, "cm²")


def shah_kg_per_m2_h(
    water_c: float,
    room_c: float,
    vapour_pa: float,
    water_activity: float = 1.0,
    pressure_pa: float = SEA_LEVEL_PA,
) -> float:
    """Evaporation from undisturbed water by M. M. Shah's method, kg/(m²·h); never below 0.

    The larger of 35·ρs·(ρa − ρs)^(1/3)·(Ws − Wa) and 5.0e-5·(es − ea), with ρ the density of the
    dry-air part, s at the surface, a in the room; the second alone where ρa ≤ ρs [M]. Mean deviation
    from measurements 18.2 %, for water of 7–94 °C, rooms of 6–35 °C, 0.07–425 m². Outside these
    temperatures it is an extrapolation; what no probe may be believed to say is refused.
    """
    return shah_at_vapour_pressures(water_c, room_c, (vapour_pa,), water_activity, pressure_pa)[0]


def shah_at_vapour_pressures(
    water_c: float,
    room_c: float,
    vapours_pa: Iterable[float],
    water_activity: float = 1.0,
    pressure_pa: float = SEA_LEVEL_PA,
) -> list[float]:
    """`shah_kg_per_m2_h` at several vapour pressures of the room at once, in their order.

    What depends on water and room alone is computed once: a grid over unknown humidity costs little.
    """
    # Written out, not through `air`: a replay asks this some hundred thousand times.
    _check_conditions(water_c, room_c, water_activity, pressure_pa)
    surface_pa = water_activity * 610.8 * exp(17.27 * water_c / (water_c + 237.3))
    surface_dry_pa = pressure_pa - surface_pa
    surface_density = surface_dry_pa / (R_DRY_AIR * (water_c + ZERO_C_IN_K))
    surface_ratio = WATER_TO_AIR * surface_pa / surface_dry_pa
    per_density = 1.0 / (R_DRY_AIR * (room_c + ZERO_C_IN_K))
    rates = []
    for vapour_pa in vapours_pa:
        if not 0.0 <= vapour_pa <= MOST_VAPOUR_PA:
            raise OutOfRange("vapour pressure", vapour_pa, 0.0, MOST_VAPOUR_PA, "Pa")
        rate = 5.0e-5 * (surface_pa - vapour_pa)
        dry_pa = pressure_pa - vapour_pa
        lift = dry_pa * per_density - surface_density
        if rate > 0.0 and lift > 0.0:
            drive = surface_ratio - WATER_TO_AIR * vapour_pa / dry_pa
            rate = max(rate, 35.0 * surface_density * lift ** (1.0 / 3.0) * drive)
        rates.append(rate if rate > 0.0 else 0.0)
    return rates


def _check_conditions(water_c: float, room_c: float, water_activity: float, pressure_pa: float) -> None:
    within("water temperature", water_c, brine.COLDEST_C, brine.HOTTEST_C, "°C")
    within("room temperature", room_c, air.COLDEST_C, air.HOTTEST_C, "°C")
    within("water activity", water_activity, 0.5, 1.0)
    within("air pressure", pressure_pa, LEAST_PRESSURE_PA, MOST_PRESSURE_PA, "Pa")


def loss_ml_per_h(kg_per_m2_h: float, surface_cm2: float, water_c: float) -> float:
    """The rate as mL of plain water an hour from a surface of `surface_cm2` cm²."""
    return losses_ml_per_h((kg_per_m2_h,), surface_cm2, water_c)[0]


def losses_ml_per_h(rates: Iterable[float], surface_cm2: float, water_c: float) -> list[float]:
    """`loss_ml_per_h` of several rates (kg/(m²·h)) at once, in their order: one density serves them all."""
    within("water surface", surface_cm2, 0.0, 1e6, "cm²")
    density = brine.density_kg_per_m3(water_c, 0.0)
    return [100.0 * rate * surface_cm2 / density for rate in rates]


def rohwer_mm_per_day(
    water_c: float,
    vapour_pa: float,
    wind_km_per_h: float = 0.0,
    water_activity: float = 1.0,
    pressure_pa: float = SEA_LEVEL_PA,
) -> float:
    """Evaporation from open pans by Rohwer (1931), mm a day; never below 0.

    0.771·(1.465 − 0.000732 p)·(0.44 + 0.0733 u)·(es − ea), pressures in mmHg, wind in km/h.
    """
    within("wind", wind_km_per_h, 0.0, 100.0, "km/h")
    within("vapour pressure", vapour_pa, 0.0, MOST_VAPOUR_PA, "Pa")
    deficit_mmhg = (water_activity * saturation_vapour_pressure_pa(water_c) - vapour_pa) / PA_PER_MMHG
    height = 1.465 - 0.000732 * pressure_pa / PA_PER_MMHG
    return max(0.0, 0.771 * height * (0.44 + 0.0733 * wind_km_per_h) * deficit_mmhg)


def sherwood_rayleigh_kg_per_m2_h(
    water_c: float,
    room_c: float,
    vapour_pa: float,
    width_cm: float,
    water_activity: float = 1.0,
    pressure_pa: float = SEA_LEVEL_PA,
) -> float:
    """Cross-check: evaporation driven by natural convection, kg/(m²·h); never below 0.

    Sh = 0.230·Sc^(1/3)·Ra^0.321 (Bower & Saylor 2009) [M], the width as length, the air's properties
    at the mean of water and room. Where the air over the water is no lighter than the room's there is
    no such convection and the relation says 0: still diffusion (Sh 8/π for an open disc, against some 11
    by convection from a warm 7 cm cup) is left out.
    """
    surface_pa = water_activity * saturation_vapour_pressure_pa(water_c)
    surface, room = (
        dry_air_density_kg_per_m3(t, e, pressure_pa) * (1.0 + humidity_ratio(e, pressure_pa))
        for t, e in ((water_c, surface_pa), (room_c, vapour_pa))
    )
    if room <= surface or vapour_pa >= surface_pa:
        return 0.0
    film_k = (water_c + room_c) / 2.0 + ZERO_C_IN_K
    density = (surface + room) / 2.0
    width_m = within("width", width_cm, 0.5, 10_000.0, "cm") / 100.0
    viscosity = _viscosity_pa_s(film_k) / density
    diffusivity = _vapour_diffusivity_m2_per_s(film_k, pressure_pa)
    heat_diffusivity = _conductivity_w_per_m_k(film_k) / (density * 1006.0)  # cp of dry air, J/(kg·K)
    rayleigh = GRAVITY_M_PER_S2 * (room - surface) / density * width_m**3 / (viscosity * heat_diffusivity)
    sherwood: float = 0.230 * (viscosity / diffusivity) ** (1.0 / 3.0) * rayleigh**0.321
    vapour_step = _vapour_kg_per_m3(surface_pa, water_c) - _vapour_kg_per_m3(vapour_pa, room_c)
    return max(0.0, 3600.0 * sherwood * diffusivity * vapour_step / width_m)


def _viscosity_pa_s(air_k: float) -> float:
    """Sutherland's law, U.S. Standard Atmosphere 1976 [M]."""
    return 1.458e-6 * air_k * sqrt(air_k) / (air_k + 110.4)


def _conductivity_w_per_m_k(air_k: float) -> float:
    """Thermal conductivity of air, U.S. Standard Atmosphere 1976 [M]."""
    bend: float = 10.0 ** (-12.0 / air_k)
    return 2.64638e-3 * air_k * sqrt(air_k) / (air_k + 245.4 * bend)


def _vapour_diffusivity_m2_per_s(air_k: float, pressure_pa: float) -> float:
    """Water vapour in air, 2.11e-5·(T/273.15)^1.94·p0/p: Pruppacher & Klett [M]."""
    growth: float = (air_k / ZERO_C_IN_K) ** 1.94
    return 2.11e-5 * growth * SEA_LEVEL_PA / pressure_pa


def _vapour_kg_per_m3(vapour_pa: float, air_c: float) -> float:
    return WATER_TO_AIR * vapour_pa / (R_DRY_AIR * (air_c + ZERO_C_IN_K))
