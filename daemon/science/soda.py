"""Baking soda in hatching brine: alkalinity, and the pH it gives.

An equilibrium of carbonic acid in a sodium chloride brine by ion association: constants of pure water,
activity coefficients by the extended Debye–Hückel law, two ion pairs with sodium. Molalities in mol per kg
of water; pH is −log10 of the hydrogen ion's activity.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import log10, sqrt

from daemon.science import brine
from daemon.science.valid_range import within

COLDEST_C = 10.0
HOTTEST_C = 32.0  # above it the two theories lie further apart than PH_ERROR
MOST_SALT_G_PER_KG = 35.0  # ionic strength 0.64, about as far as the activity law goes
LEAST_SODA_G_PER_L = 0.05  # with less the pH is that of the tap
MOST_SODA_G_PER_L = 5.0
OUTDOOR_CO2_PPM = 420.0
MOST_SODA_ADVISED_G_PER_L = 1.0  # FAO Fisheries Technical Paper 428 [R]

PH_ERROR = 0.2  # of every figure here: another theory (Pitzer's equations) lies up to 0.2 higher

SODA_G_PER_MOL = 84.007
SALT_G_PER_MOL = 58.443
ZERO_C_IN_K = 273.15

# Extended Debye–Hückel, log γ = −A z²√I/(1 + B a √I) + b I: Truesdell & Jones 1974, as in the data base
# phreeqc.dat that comes with PHREEQC [R]. Ion: charge, a in Å, b in kg/mol.
_HYDROGEN = (1.0, 9.0, 0.0)
_HYDROXIDE = (1.0, 3.5, 0.0)
_BICARBONATE = (1.0, 5.4, 0.0)
_CARBONATE = (2.0, 5.4, 0.0)
_SODIUM = (1.0, 4.08, 0.082)
_NEUTRAL_B = 0.1  # log γ = 0.1·I for CO₂ and NaHCO₃ [R, the same]


@dataclass(frozen=True)
class PhRange:
    """A pH and how far it may lie off: what is computed, and ±0.2 about it."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class _Brine:
    """What the equilibrium needs to know of one brine: apparent constants, in activities of H only."""

    k1: float  # a(H)·[HCO₃⁻]/[CO₂], pairs left out
    k2: float  # a(H)·[CO₃²⁻]/[HCO₃⁻]
    k_water: float  # a(H)·[OH⁻]
    hydrogen: float  # activity coefficient
    k_henry: float  # [CO₂]/p, mol/(kg·atm)
    paired_bicarbonate: float  # [NaHCO₃]/[HCO₃⁻]
    paired_carbonate: float  # [NaCO₃⁻]/[CO₃²⁻]


def alkalinity_meq_per_l(soda_g_per_l: float) -> float:
    """Alkalinity of baking soda (NaHCO₃, 84.007 g/mol), meq/L: 0.5, 1, 2 g/L are 5.95, 11.90, 23.81."""
    return 1000.0 * within("soda", soda_g_per_l, 0.0, MOST_SODA_G_PER_L, "g/L") / SODA_G_PER_MOL


def soda_g_per_l(alkalinity_meq_per_l: float) -> float:
    """Baking soda for a wanted alkalinity, g/L: the way back."""
    most = 1000.0 * MOST_SODA_G_PER_L / SODA_G_PER_MOL
    return within("alkalinity", alkalinity_meq_per_l, 0.0, most, "meq/L") * SODA_G_PER_MOL / 1000.0


def ph_just_mixed(soda_g_per_l: float, salinity_g_per_kg: float, water_c: float) -> PhRange:
    """pH of the brine before it has exchanged gas with the air: all carbon is that of the soda.

    Water and table salt are taken as free of carbon and alkalinity: tap water brings its own. Within 0.01 of
    PHREEQC with phreeqc.dat; below PHREEQC with Pitzer's equations by 0.02 (10 °C, 5 g/kg) to 0.2 (32 °C, 35
    g/kg), 0.14 at 25 °C and 25 g/kg. Needs some soda, at least 0.05 g/L: plain water's pH is anybody's.
    """
    soda_mol = _soda_mol_per_kg(soda_g_per_l, salinity_g_per_kg, water_c)
    state = _brine(soda_mol, salinity_g_per_kg, water_c)

    def excess(hydrogen: float) -> float:
        bicarbonate_side, carbonate_side, acid = _carbon_shares(hydrogen, state)
        held = soda_mol / (bicarbonate_side + carbonate_side + acid)
        return _alkalinity(hydrogen, held * bicarbonate_side, held * carbonate_side, state) - soda_mol

    return _about(_solve_ph(excess))


def ph_open_to_air(
    soda_g_per_l: float, salinity_g_per_kg: float, water_c: float, co2_ppm: float = OUTDOOR_CO2_PPM
) -> PhRange:
    """pH when the brine has long stood open to air with so many ppm of CO₂, at sea level.

    Within 0.01 of PHREEQC with phreeqc.dat, and 0.04 to 0.14 below it with Pitzer's equations. It takes days
    in still water, hours with air bubbling [P]; a full classroom may hold 1000–2000 ppm [P], which takes off
    0.3 to 0.6. Animals and rot bring the pH further down.
    """
    within("carbon dioxide", co2_ppm, 100.0, 20_000.0, "ppm")
    soda_mol = _soda_mol_per_kg(soda_g_per_l, salinity_g_per_kg, water_c)
    state = _brine(soda_mol, salinity_g_per_kg, water_c)
    acid_mol = state.k_henry * co2_ppm * 1e-6

    def excess(hydrogen: float) -> float:
        bicarbonate_side, carbonate_side, acid = _carbon_shares(hydrogen, state)
        each = acid_mol / acid
        return _alkalinity(hydrogen, each * bicarbonate_side, each * carbonate_side, state) - soda_mol

    return _about(_solve_ph(excess))


def _about(ph: float) -> PhRange:
    return PhRange(ph - PH_ERROR, ph, ph + PH_ERROR)


def _soda_mol_per_kg(soda_g_per_l: float, salinity_g_per_kg: float, water_c: float) -> float:
    within("soda", soda_g_per_l, LEAST_SODA_G_PER_L, MOST_SODA_G_PER_L, "g/L")
    within("salinity", salinity_g_per_kg, 0.0, MOST_SALT_G_PER_KG, "g/kg")
    within("water temperature", water_c, COLDEST_C, HOTTEST_C, "°C")
    return soda_g_per_l / SODA_G_PER_MOL / (brine.water_g_of(1000.0, salinity_g_per_kg, water_c) / 1000.0)


def _carbon_shares(hydrogen: float, state: _Brine) -> tuple[float, float, float]:
    """Bicarbonate, carbonate (each with its sodium pair) and CO₂, in parts of free bicarbonate."""
    bicarbonate_side = 1.0 + state.paired_bicarbonate
    carbonate_side = state.k2 / hydrogen * (1.0 + state.paired_carbonate)
    return bicarbonate_side, carbonate_side, hydrogen / state.k1


def _alkalinity(hydrogen: float, bicarbonate: float, carbonate: float, state: _Brine) -> float:
    return bicarbonate + 2.0 * carbonate + state.k_water / hydrogen - hydrogen / state.hydrogen


def _solve_ph(excess_alkalinity: Callable[[float], float]) -> float:
    """The pH at which the alkalinity is that of the soda: it rises with pH, so halving finds it."""
    low, high = 3.0, 12.0
    for _ in range(60):
        middle = (low + high) / 2.0
        if excess_alkalinity(10.0**-middle) < 0.0:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def _brine(soda_mol: float, salinity_g_per_kg: float, water_c: float) -> _Brine:
    """Apparent constants; ionic strength and sodium are those of salt and soda, pairs not taken off."""
    sodium_mol = salinity_g_per_kg / SALT_G_PER_MOL / (1.0 - salinity_g_per_kg / 1000.0) + soda_mol
    kelvin = water_c + ZERO_C_IN_K
    hydrogen, hydroxide, bicarbonate, carbonate, sodium = (
        _activity(ion, sodium_mol, kelvin)
        for ion in (_HYDROGEN, _HYDROXIDE, _BICARBONATE, _CARBONATE, _SODIUM)
    )
    neutral = 10.0 ** (_NEUTRAL_B * sodium_mol)
    pair = _davies(sodium_mol, kelvin)
    free_sodium = sodium * sodium_mol
    return _Brine(
        k1=_k1(kelvin) * neutral / bicarbonate,
        k2=_k2(kelvin) * bicarbonate / carbonate,
        k_water=_k_water(kelvin) / hydroxide,
        hydrogen=hydrogen,
        k_henry=_k_henry(kelvin) / neutral,
        paired_bicarbonate=_pair(-0.25, -1.0, kelvin) * free_sodium * bicarbonate / neutral,
        paired_carbonate=_pair(1.27, 8.91, kelvin) * free_sodium * carbonate / pair,
    )


def _k1(k: float) -> float:
    """CO₂ + H₂O = H⁺ + HCO₃⁻: Plummer & Busenberg 1982 [M]; 10^−6.35 at 25 °C."""
    return _power(-356.3094 - 0.06091964 * k + 21834.37 / k + 126.8339 * log10(k) - 1684915.0 / (k * k))


def _k2(k: float) -> float:
    """HCO₃⁻ = H⁺ + CO₃²⁻: Plummer & Busenberg 1982 [M; R in phreeqc.dat]; 10^−10.33 at 25 °C."""
    return _power(-107.8871 - 0.03252849 * k + 5151.79 / k + 38.92561 * log10(k) - 563713.9 / (k * k))


def _k_henry(k: float) -> float:
    """CO₂ dissolved per atmosphere, mol/(kg·atm): Plummer & Busenberg 1982 [M]; 10^−1.47 at 25 °C."""
    return _power(108.3865 + 0.01985076 * k - 6919.53 / k - 40.45154 * log10(k) + 669365.0 / (k * k))


def _k_water(k: float) -> float:
    """H₂O = H⁺ + OH⁻, as in phreeqc.dat [R]; 10^−14.0 at 25 °C."""
    return _power(293.29227 + 0.1360833 * k - 10576.913 / k - 123.73158 * log10(k) - 6.996455e-5 * k * k)


def _pair(log_k_25: float, heat_kcal: float, kelvin: float) -> float:
    """Constant of a pair with sodium, carried from 25 °C by its heat (van 't Hoff); phreeqc.dat [R]."""
    gas_kcal = 1.98720e-3
    return _power(log_k_25 - heat_kcal / (2.302585 * gas_kcal) * (1.0 / kelvin - 1.0 / 298.15))


def _activity(ion: tuple[float, float, float], strength: float, kelvin: float) -> float:
    charge, size, slope = ion
    a, b = _debye_huckel(kelvin)
    root = sqrt(strength)
    return _power(-a * charge * charge * root / (1.0 + b * size * root) + slope * strength)


def _davies(strength: float, kelvin: float) -> float:
    """Davies 1962, for an ion of charge one without a size of its own [M]."""
    root = sqrt(strength)
    return _power(-_debye_huckel(kelvin)[0] * (root / (1.0 + root) - 0.3 * strength))


def _debye_huckel(kelvin: float) -> tuple[float, float]:
    """The law's A and B, kg^½/mol^½ and that per Å: 0.511 and 0.329 at 25 °C [M], with water's permittivity.

    Permittivity by Malmberg & Maryott 1956 [M]: 78.30 at 25 °C.
    """
    t = kelvin - ZERO_C_IN_K
    permittivity = 87.740 + t * (-0.40008 + t * (9.398e-4 - t * 1.410e-6))
    product = permittivity * kelvin
    root_density = sqrt(brine.density_kg_per_m3(t, 0.0) / 1000.0)
    return 1.82483e6 * root_density / product**1.5, 50.2916 * root_density / sqrt(product)


def _power(exponent: float) -> float:
    result: float = 10.0**exponent
    return result
