"""Moist air: vapour pressure, humidity ratio and the density of its dry part.

Temperatures in °C, pressures in Pa. Every function takes what a probe may be believed to say
(−20 to 60 °C) and refuses the rest with `OutOfRange`.
"""

from math import exp

from daemon.science.valid_range import within

COLDEST_C = -20.0
HOTTEST_C = 60.0
SEA_LEVEL_PA = 101_325.0
LEAST_PRESSURE_PA = 50_000.0  # about 5500 m: above every school
MOST_PRESSURE_PA = 110_000.0
MOST_VAPOUR_PA = 20_000.0  # saturated at 60 °C

R_DRY_AIR = 287.055  # J/(kg·K): 8.31446 J/(mol·K) over 28.965 g/mol
WATER_TO_AIR = 0.621945  # molar mass of water over that of dry air (ASHRAE Fundamentals, ch. 1) [M]
ZERO_C_IN_K = 273.15


def saturation_vapour_pressure_pa(air_c: float) -> float:
    """Vapour pressure over plain water at `air_c` °C, in Pa.

    610.8·exp(17.27 t/(t + 237.3)): FAO Irrigation and Drainage Paper 56, equation 11. Within 0.09 % of
    IAPWS between 15 and 30 °C, within 0.12 % from 1 to 60 °C. Below 0 °C it is that of undercooled water.
    """
    within("temperature", air_c, COLDEST_C, HOTTEST_C, "°C")
    return 610.8 * exp(17.27 * air_c / (air_c + 237.3))


def vapour_pressure_pa(air_c: float, rh_pct: float) -> float:
    """Vapour pressure of air of `air_c` °C and `rh_pct` % relative humidity (0–100), in Pa."""
    within("relative humidity", rh_pct, 0.0, 100.0, "%")
    return saturation_vapour_pressure_pa(air_c) * rh_pct / 100.0


def humidity_ratio(vapour_pa: float, pressure_pa: float = SEA_LEVEL_PA) -> float:
    """Kilograms of vapour per kilogram of dry air, from the vapour pressure.

    0.621945·e/(p − e): ASHRAE Handbook Fundamentals, chapter 1 [M].
    """
    _air(vapour_pa, pressure_pa)
    return WATER_TO_AIR * vapour_pa / (pressure_pa - vapour_pa)


def dry_air_density_kg_per_m3(air_c: float, vapour_pa: float, pressure_pa: float = SEA_LEVEL_PA) -> float:
    """Density of the *dry-air part* of moist air, kg/m³: (p − e)/(R·T), an ideal gas.

    It is what evaporation formulae for pools compare; the whole air's density is larger by the vapour.
    """
    within("temperature", air_c, COLDEST_C, HOTTEST_C, "°C")
    _air(vapour_pa, pressure_pa)
    return (pressure_pa - vapour_pa) / (R_DRY_AIR * (air_c + ZERO_C_IN_K))


def _air(vapour_pa: float, pressure_pa: float) -> None:
    within("air pressure", pressure_pa, LEAST_PRESSURE_PA, MOST_PRESSURE_PA, "Pa")
    within("vapour pressure", vapour_pa, 0.0, MOST_VAPOUR_PA, "Pa")
