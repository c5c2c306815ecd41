"""Brine of table salt: density, water activity, and what a recipe or a volume holds.

Salinity is a mass fraction in g of salt per kg of brine. Salt stays while water leaves, so what is
conserved is the grams of salt; volumes follow from it.
"""

from daemon.science.valid_range import within

# A reading of water may be believed between these; the density fit itself was made for 10–30 °C.
COLDEST_C = -5.0
HOTTEST_C = 60.0
MOST_SALT_G_PER_KG = 120.0
# NaCl in saturated brine of 25 °C: 36 g in 100 g of water (CRC Handbook) [M]; 10 K of it change it by 0.5 g.
SATURATED_G_PER_KG = 264.0
WATER_G_IN_A_LITRE_AT_25_C = 997.047


def density_kg_per_m3(water_c: float, salinity_g_per_kg: float) -> float:
    """Density of NaCl brine at atmospheric pressure, kg/m³.

    Fit for 0–50 g/kg and 10–30 °C, largest residual 0.044 kg/m³ against Rogers & Pitzer as in the CRC
    Handbook. Taken on to −5–60 °C and 120 g/kg it stays within 0.1 % of Perry's tables of NaCl density
    [M]; refused beyond that. Sea salt of the same mass fraction is about 1 kg/m³ (0.1 %) denser.
    """
    within("water temperature", water_c, COLDEST_C, HOTTEST_C, "°C")
    within("salinity", salinity_g_per_kg, 0.0, MOST_SALT_G_PER_KG, "g/kg")
    w, t = salinity_g_per_kg, water_c - 25.0
    salt = w * (0.70493 - 1.5423e-3 * t + 6.687e-5 * w + 2.928e-5 * t * t)
    return _plain_water_density(water_c) + salt


def _plain_water_density(t: float) -> float:
    """Density of plain water, kg/m³: UNESCO Technical Paper in Marine Science 44 (EOS-80) [M]."""
    upper = 1.001685e-4 + t * (-1.120083e-6 + t * 6.536332e-9)
    return 999.842594 + t * (6.793952e-2 + t * (-9.095290e-3 + t * upper))


def water_activity(salinity_g_per_kg: float) -> float:
    """Vapour pressure over NaCl brine as a fraction of that over plain water, 1 − 5.75e-4·S.

    Off by less than 4e-4 up to 35 g/kg (Pitzer at 25 °C); by about 0.011 too high at 120 g/kg, the limit.
    """
    return 1.0 - 5.75e-4 * within("salinity", salinity_g_per_kg, 0.0, MOST_SALT_G_PER_KG, "g/kg")


def water_activity_sea_salt(salinity_g_per_kg: float) -> float:
    """As `water_activity`, for sea salt, 1 − 5.3e-4·S: off by less than 4e-4 up to 35 g/kg (TEOS-10)."""
    return 1.0 - 5.3e-4 * within("salinity", salinity_g_per_kg, 0.0, MOST_SALT_G_PER_KG, "g/kg")


def salinity_g_per_kg(salt_g: float, water_g: float) -> float:
    """Salinity of `salt_g` g of salt in `water_g` g of water: 1000·salt/(salt + water)."""
    within("salt", salt_g, 0.0, 1e6, "g")
    within("water", water_g, 1e-6, 1e9, "g")
    return 1000.0 * salt_g / (salt_g + water_g)


def salinity_in_a_litre(salt_g_per_l: float) -> float:
    """Salinity of a recipe that means "so many grams dissolved *in* a litre of water" (of 25 °C), g/kg.

    25 g gives 24.46 g/kg; water of 15 °C instead would give 24.41.
    """
    return salinity_g_per_kg(within("salt", salt_g_per_l, 0.0, 130.0, "g/L"), WATER_G_IN_A_LITRE_AT_25_C)


def salinity_to_a_litre(salt_g_per_l: float, water_c: float) -> float:
    """Salinity of a recipe that means "so many grams made up *to* a litre of brine" at `water_c` °C, g/kg.

    25 g gives 24.64 g/kg at 25 °C. Solves S = 1000·salt/ρ(S), which closes in by a factor of ten a round.
    """
    within("salt", salt_g_per_l, 0.0, 125.0, "g/L")
    salinity = min(salt_g_per_l, MOST_SALT_G_PER_KG)  # only a beginning: the answer is the smaller number
    for _ in range(12):
        salinity = 1000.0 * salt_g_per_l / density_kg_per_m3(water_c, salinity)
    return salinity


def salt_g_in_a_litre(salinity_g_per_kg: float) -> float:
    """Grams of salt to dissolve *in* a litre of water (of 25 °C): the way back from `salinity_in_a_litre`."""
    within("salinity", salinity_g_per_kg, 0.0, MOST_SALT_G_PER_KG, "g/kg")
    return WATER_G_IN_A_LITRE_AT_25_C * salinity_g_per_kg / (1000.0 - salinity_g_per_kg)


def g_per_l(salinity_g_per_kg: float, water_c: float) -> float:
    """Grams of salt a litre *of brine* holds: S·ρ(S, T)/1000, the way back from `salinity_to_a_litre`."""
    return salinity_g_per_kg * density_kg_per_m3(water_c, salinity_g_per_kg) / 1000.0


def salt_g_of(volume_ml: float, salinity_g_per_kg: float, water_c: float) -> float:
    """Grams of salt in `volume_ml` mL of brine."""
    return _mass_g(volume_ml, salinity_g_per_kg, water_c) * salinity_g_per_kg / 1000.0


def water_g_of(volume_ml: float, salinity_g_per_kg: float, water_c: float) -> float:
    """Grams of water in `volume_ml` mL of brine."""
    return _mass_g(volume_ml, salinity_g_per_kg, water_c) * (1.0 - salinity_g_per_kg / 1000.0)


def volume_ml_of(salt_g: float, water_g: float, water_c: float) -> float:
    """Volume in mL of `salt_g` g of salt in `water_g` g of water: the way back from the two above."""
    return 1000.0 * (salt_g + water_g) / density_kg_per_m3(water_c, salinity_g_per_kg(salt_g, water_g))


def _mass_g(volume_ml: float, salinity: float, water_c: float) -> float:
    within("volume", volume_ml, 0.0, 1e7, "mL")
    return volume_ml * density_kg_per_m3(water_c, salinity) / 1000.0
