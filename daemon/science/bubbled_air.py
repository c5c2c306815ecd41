"""What air that bubbles through water carries off: it comes with the room's vapour and leaves with more.

A mass balance on the dry part of the air, which passes through: ASHRAE Handbook Fundamentals, chapter 1
(humidity ratio) [M]. The flow is the pump's, at the room's temperature and pressure. Where it is taken at the
water's, and vapour densities are subtracted as the CRC Handbook lists them, some 5 to 8 % less come out for a
room of 20 °C and water of 27 °C: the air grows as it is warmed and wetted.
"""

from daemon.science import air, brine
from daemon.science.valid_range import within

# How far a bubble takes up what the water would give it. A small one in some decimetres is near the whole, a
# coarse stream in a shallow cup is not: no source was found, so 70 to 100 % [P].
SATURATED_SHARE, SATURATED_SD = 0.87, 0.08
L_PER_MIN_IN_M3_PER_H = 0.06


def bubbled_ml_per_h(
    l_per_min: float,
    water_c: float,
    room_c: float,
    vapour_pa: float,
    water_activity: float = 1.0,
    saturated_share: float = SATURATED_SHARE,
    pressure_pa: float = air.SEA_LEVEL_PA,
) -> float:
    """Plain water that `l_per_min` L/min of room air carries off, mL an hour; never below 0.

    `vapour_pa` is the room's vapour pressure, in Pa; the air leaves with `saturated_share` (0–1) of that over
    the water. Refuses more than 100 L/min and what no probe may be believed to say.
    """
    within("air", l_per_min, 0.0, 100.0, "L/min")
    within("share of saturation", saturated_share, 0.0, 1.0)
    within("water temperature", water_c, brine.COLDEST_C, brine.HOTTEST_C, "°C")
    within("water activity", water_activity, 0.5, 1.0)
    leaves_pa = saturated_share * water_activity * air.saturation_vapour_pressure_pa(water_c)
    gained = air.humidity_ratio(leaves_pa, pressure_pa) - air.humidity_ratio(vapour_pa, pressure_pa)
    dry_kg_per_m3 = air.dry_air_density_kg_per_m3(room_c, vapour_pa, pressure_pa)
    kg_per_h = l_per_min * L_PER_MIN_IN_M3_PER_H * dry_kg_per_m3 * gained
    return max(0.0, 1e6 * kg_per_h / brine.density_kg_per_m3(water_c, 0.0))
