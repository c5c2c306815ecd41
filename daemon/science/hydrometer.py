"""Hydrometers: what a reading says about salinity, and what a salinity reads.

A glass hydrometer is right at one temperature (`calibrated_c`); its scale compares with plain water of
another one (`reference_c`), or shows density, or the salinity of sea water. Sea water of 35 g/kg at 25 °C
reads 1.0263 on a 25/25 scale and 1.0251 on a 25/20 scale: the numbers printed on it must be given.
"""

from dataclasses import dataclass
from typing import Literal

from daemon.science import brine, sea_water
from daemon.science.valid_range import within

Salt = Literal["table", "sea"]
ScaleKind = Literal["specific-gravity", "density-g-per-ml", "salinity-g-per-kg"]

# Both densities are known there; the table-salt fit itself was made for 10–30 °C and 0–50 g/kg.
COLDEST_C = 5.0
HOTTEST_C = 35.0
MOST_SALT_G_PER_KG = 50.0

GLASS_PER_K = 25e-6  # cubic expansion of hydrometer glass [M]
_ROUNDING_KG_PER_M3 = 1e-9  # so that plain water and the strongest brine find their way back


@dataclass(frozen=True)
class Scale:
    """A hydrometer's scale: what it shows, and the two temperatures printed on it ("25/20 °C").

    `calibrated_c`, the first, is that of the brine for which it was made; `reference_c`, the second, that of
    the plain water it is compared with (only a specific gravity has one). A salinity scale shows what sea
    water of `calibrated_c` holds [P]. `glass_per_k` is the float's cubic expansion.
    """

    kind: ScaleKind = "specific-gravity"
    calibrated_c: float = 25.0
    reference_c: float = 25.0
    glass_per_k: float = GLASS_PER_K


def density_of(water_c: float, salinity_g_per_kg: float, salt: Salt = "table") -> float:
    """Density of brine of table or sea salt, kg/m³; 0–50 g/kg, 5–35 °C. See `brine` and `sea_water`."""
    within("water temperature", water_c, COLDEST_C, HOTTEST_C, "°C")
    within("salinity", salinity_g_per_kg, 0.0, MOST_SALT_G_PER_KG, "g/kg")
    density = sea_water.density_kg_per_m3 if salt == "sea" else brine.density_kg_per_m3
    return density(water_c, salinity_g_per_kg)


def salinity_of_density(density_kg_per_m3: float, water_c: float, salt: Salt = "table") -> float:
    """The salinity in g/kg at which brine of `water_c` °C has this density: the inverse of `density_of`.

    Density rises with salt everywhere in the range, so halving the range 60 times finds it to 1e-12.
    """
    least, most = (density_of(water_c, s, salt) for s in (0.0, MOST_SALT_G_PER_KG))
    within("density", density_kg_per_m3, least - _ROUNDING_KG_PER_M3, most + _ROUNDING_KG_PER_M3, "kg/m³")
    low, high = 0.0, MOST_SALT_G_PER_KG
    for _ in range(60):
        middle = (low + high) / 2.0
        if density_of(water_c, middle, salt) < density_kg_per_m3:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def specific_gravity(
    salinity_g_per_kg: float, water_c: float, reference_c: float, salt: Salt = "table"
) -> float:
    """Density of brine of `water_c` °C over that of plain water of `reference_c` °C."""
    return density_of(water_c, salinity_g_per_kg, salt) / density_of(reference_c, 0.0)


def salinity_of_specific_gravity(
    gravity: float, water_c: float, reference_c: float, salt: Salt = "table"
) -> float:
    """The way back from `specific_gravity`, g/kg. For a float's reading use `salinity_of_reading`."""
    within("specific gravity", gravity, 0.9, 1.2)
    return salinity_of_density(gravity * density_of(reference_c, 0.0), water_c, salt)


def reading_of_salinity(
    salinity_g_per_kg: float, water_c: float, scale: Scale, salt: Salt = "table"
) -> float:
    """What the hydrometer shows in brine of this salinity and temperature, in the scale's own unit."""
    return _shown(density_of(water_c, salinity_g_per_kg, salt) * _glass(water_c, scale), scale)


def salinity_of_reading(reading: float, water_c: float, scale: Scale, salt: Salt = "table") -> float:
    """Salinity in g/kg from a reading: ρ = R·ρw(T_ref)/(1 + β(T − T_cal)), then ρ(S, T) solved for S.

    Refuses readings that no brine of 0–50 g/kg has at that temperature, naming those it has. A division of
    0.001 on a usual scale is 1.4 g/kg.
    """
    glass = _glass(water_c, scale)
    ends = (density_of(water_c, s, salt) * glass for s in (0.0, MOST_SALT_G_PER_KG))
    least, most = (_shown(_on_scale(end, scale), scale) for end in ends)
    density = _density_of_reading(within("reading", reading, least, most), scale) / glass
    return salinity_of_density(density, water_c, salt)


def _glass(water_c: float, scale: Scale) -> float:
    """How much larger the float is than at its calibration: 1 + β(T − T_cal)."""
    within("calibration temperature", scale.calibrated_c, COLDEST_C, HOTTEST_C, "°C")
    within("glass expansion", scale.glass_per_k, 0.0, 1e-3, "1/K")
    return 1.0 + scale.glass_per_k * (water_c - scale.calibrated_c)


def _shown(density_kg_per_m3: float, scale: Scale) -> float:
    if scale.kind == "salinity-g-per-kg":
        return salinity_of_density(density_kg_per_m3, scale.calibrated_c, "sea")
    if scale.kind == "density-g-per-ml":
        return density_kg_per_m3 / 1000.0
    return density_kg_per_m3 / density_of(scale.reference_c, 0.0)


def _density_of_reading(reading: float, scale: Scale) -> float:
    if scale.kind == "salinity-g-per-kg":
        return density_of(scale.calibrated_c, reading, "sea")
    if scale.kind == "density-g-per-ml":
        return reading * 1000.0
    return reading * density_of(scale.reference_c, 0.0)


def _on_scale(density_kg_per_m3: float, scale: Scale) -> float:
    """The density, or the nearest that a salinity scale still shows: it begins at 0 and we end it at 50."""
    if scale.kind != "salinity-g-per-kg":
        return density_kg_per_m3
    first, last = (density_of(scale.calibrated_c, s, "sea") for s in (0.0, MOST_SALT_G_PER_KG))
    return min(max(density_kg_per_m3, first), last)
