"""Brine of sea salt: its density, for hydrometers and for salt mixes made for sea water.

Salinity is a mass fraction in g of sea salt per kg of brine, as everywhere here. Sea salt weighs more than
table salt of the same mass fraction: 1.0 kg/m³ at 25 g/kg.
"""

from daemon.science import brine
from daemon.science.valid_range import within

COLDEST_C = 5.0
HOTTEST_C = 35.0
MOST_SALT_G_PER_KG = 50.0

# Sea water of practical salinity 35 holds 35.16504 g/kg: Reference-Composition Salinity Scale (Millero et al.
# 2008) [M]; the handbook's 35.165.
G_PER_KG_PER_PRACTICAL = 35.16504 / 35.0
IPTS_68_PER_ITS_90 = 1.00024  # how EOS-80 counts its degrees; 0.006 °C at 25 °C


def practical_salinity(salinity_g_per_kg: float) -> float:
    """Practical salinity (PSS-78, no unit) of so many g/kg of sea salt of standard composition."""
    return within("salinity", salinity_g_per_kg, 0.0, MOST_SALT_G_PER_KG, "g/kg") / G_PER_KG_PER_PRACTICAL


def density_kg_per_m3(water_c: float, salinity_g_per_kg: float) -> float:
    """Density of sea water at atmospheric pressure, kg/m³, for 0–50 g/kg and 5–35 °C.

    EOS-80: UNESCO Technical Paper in Marine Science 44 [M for the coefficients; its check values R], made for
    practical salinities up to 42. Taken on to 50 g/kg it stays within 0.03 kg/m³ of TEOS-10.
    """
    within("water temperature", water_c, COLDEST_C, HOTTEST_C, "°C")
    return eos_80_kg_per_m3(water_c * IPTS_68_PER_ITS_90, practical_salinity(salinity_g_per_kg))


def eos_80_kg_per_m3(t68_c: float, practical: float) -> float:
    """EOS-80 as printed: degrees of IPTS-68 and practical salinity, one atmosphere, kg/m³."""
    within("practical salinity", practical, 0.0, 50.0)
    t = t68_c
    first = 8.24493e-1 + t * (-4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9)))
    middle = -5.72466e-3 + t * (1.0227e-4 - t * 1.6546e-6)
    salt: float = practical * (first + middle * practical**0.5 + 4.8314e-4 * practical)
    return brine.density_kg_per_m3(t68_c, 0.0) + salt
