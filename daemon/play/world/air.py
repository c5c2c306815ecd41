"""The simulated room's own air and its passage over a small water surface.

Nothing here is shared with `daemon.science`: a rehearsal that used the estimator's formulae would confirm
only itself. Valid for 0–45 °C at sea level, cups of some centimetres, air slower than 3 m/s.
"""

import math

_PRESSURE_PA = 101_325.0
_GRAVITY = 9.81
_GAS_VAPOUR = 461.5  # J/(kg·K)
_GAS_AIR = 287.05  # J/(kg·K)
_DIFFUSIVITY = (
    2.5e-5  # m²/s, water vapour in air at 25 °C (Incropera & DeWitt, table A.8: 2.6e-5 at 298 K) [M]
)
_VISCOSITY = 1.56e-5  # m²/s, air at 25 °C (Incropera & DeWitt, table A.4) [M]
_HEAT_DIFFUSIVITY = 2.2e-5  # m²/s, as above [M]
_CONDUCTIVITY = 0.026  # W/(m·K), as above [M]
_AIR_J_PER_M3_K = 1190.0
_LEWIS = _HEAT_DIFFUSIVITY / _DIFFUSIVITY


def saturated_pa(temperature_c: float) -> float:
    """Vapour pressure over pure water, Pa (Alduchov & Eskridge 1996) [M]."""
    return 610.94 * math.exp(17.625 * temperature_c / (temperature_c + 243.04))


def vapour_kg_per_m3(pressure_pa: float, temperature_c: float) -> float:
    """Vapour density of a vapour pressure (ideal gas)."""
    return pressure_pa / (_GAS_VAPOUR * (temperature_c + 273.15))


def vapour_pa(density_kg_per_m3: float, temperature_c: float) -> float:
    """Vapour pressure of a vapour density; inverse of `vapour_kg_per_m3`."""
    return density_kg_per_m3 * _GAS_VAPOUR * (temperature_c + 273.15)


def moist_air_kg_per_m3(temperature_c: float, vapour_pressure_pa: float) -> float:
    """Density of moist air: dry part and vapour together (ideal gases)."""
    kelvin = temperature_c + 273.15
    dry = (_PRESSURE_PA - vapour_pressure_pa) / (_GAS_AIR * kelvin)
    return dry + vapour_pressure_pa / (_GAS_VAPOUR * kelvin)


def bubbles_g_per_s(
    l_per_min: float, saturated_share: float, water_pa: float, room_c: float, room_vapour: float
) -> float:
    """What air that bubbles through water carries off, g/s; never below 0.

    Its dry part passes through and comes out with `saturated_share` of the vapour that stands over the water
    (`water_pa`): a mass balance on dry air, w = 0.622·e/(p − e) going out and the room's own coming in.
    """
    room_pa = vapour_pa(room_vapour, room_c)
    dry_kg_per_m3 = (_PRESSURE_PA - room_pa) / (_GAS_AIR * (room_c + 273.15))
    dry_g_per_s = l_per_min / 60_000 * dry_kg_per_m3 * 1000
    leaves_pa = saturated_share * water_pa
    leaves, comes = (0.622 * pa / (_PRESSURE_PA - pa) for pa in (leaves_pa, room_pa))
    return max(0.0, dry_g_per_s * (leaves - comes))


def surface_w_per_m2_k(diameter_m: float, lift: float, speed_m_s: float) -> float:
    """Heat transfer between a round level surface and the air above it.

    `lift` is the relative density deficit of the air at the surface: above 0 it rises (plate law
    Nu = 0.54·Ra^¼, length a quarter of the diameter), below 0 it lies (0.27·Ra^¼). The room's draught
    adds the laminar plate law Nu = 0.664·Re^½·Pr^⅓, both joined by the third power; still air leaves
    conduction. Laws: Incropera & DeWitt, *Fundamentals of Heat and Mass Transfer*, ch. 7 and 9 [M]. They are
    for plates longer than a cup is wide, so a cup's `evaporation_factor` scatters about them.
    """
    length_m = diameter_m / 4
    rayleigh = _GRAVITY * abs(lift) * length_m**3 / (_VISCOSITY * _HEAT_DIFFUSIVITY)
    free = (0.54 if lift > 0 else 0.27) * rayleigh**0.25 * _CONDUCTIVITY / length_m
    reynolds = speed_m_s * diameter_m / _VISCOSITY
    driven = 0.664 * math.sqrt(reynolds) * 0.89 * _CONDUCTIVITY / diameter_m
    conduction = 8 / math.pi * _CONDUCTIVITY / diameter_m  # a disc into a half space
    return float(max(conduction, (free**3 + driven**3) ** (1 / 3)))


def vapour_m_per_s(surface_heat_w_per_m2_k: float) -> float:
    """Mass transfer that goes with a heat transfer (Lewis: h/(ρ·c·Le^⅔)) [M]."""
    return float(surface_heat_w_per_m2_k / (_AIR_J_PER_M3_K * _LEWIS ** (2 / 3)))


def through_rim_m_per_s(free_m_per_s: float, depth_m: float, hold: float) -> float:
    """Mass transfer from a surface that lies `depth_m` under its rim.

    The air in the rim is a resistance in series; `hold` is how still it stands (1: pure diffusion, 0: none).
    """
    return free_m_per_s / (1 + free_m_per_s * depth_m * hold / _DIFFUSIVITY)
