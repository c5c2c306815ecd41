"""How far a hatch is: pace by temperature, and the share hatched by dose.

Dose is the time spent, weighted by pace: hours as if at 25 °C. Nothing here is a strain's fixed
property; the hatching rate varies as much within strains as between them (Vanhaecke & Sorgeloos 1982).
These are starting guesses with wide ranges, and a person's own lot is the truth.
"""

from math import asinh, erfc, exp, inf, log, sqrt

from daemon.science.normal import quantile
from daemon.science.valid_range import OutOfRange, within

BASE_C = 9.07  # hatching threshold (A. sinica, Yanchi Lake study)
CEILING_C = 36.0  # where the curve would come down to zero; the stop below cuts in first
NOT_KNOWN_BELOW_C = 15.0  # cysts are active from 4 °C on, but no hatching times are at hand
NOT_KNOWN_ABOVE_C = 27.0  # here the sources part: see `pace_range`
STOPS_ABOVE_C = 33.0  # New 2002, FAO Fisheries Technical Paper 428: stops; may not recover
ACTIVE_FROM_C, KILLS_ABOVE_C = 4.0, 40.0  # the same: 4 °C on; above 40 °C cysts in water die
REFERENCE_C = 25.0

# Hours at 25 °C from setting dry cysts to half of those that will hatch. The handbook's rows for one
# strain give 20.6 and 21.0 h at 35 g/kg, 18 h carried to 25 g/kg; another lot differs by 40 to 50 %.
T50_MEDIAN_H = 19.0
T50_LN_SD = 0.28
# (T90 − T10)/T50 of even lots: 5.67 h on 12.5 h (Eslava-Eljaiek et al. 2011) is 0.45; 5.7 to 8.8 h in other
# studies near the optimum, on 17 to 20 h, 0.3 to 0.5. FAO 361's acceptable product, all within 8 h of the
# first, is quicker: about 0.25. The width has the nine rows and, as its quick tenth, FAO's.
SYNCHRONY_MEDIAN = 0.36
SYNCHRONY_LN_SD = 0.28
# One published lot in ten hatches over a day: 23.5 to 27.4 h with diapause, on 18 to 20 h, is 1.2 to 1.5; by
# the handbook's T0 and T80 another lot has 1.25, and on a slow lot a day is 0.76. The outer ends as 80 %.
UNEVEN_SHARE = 0.1
UNEVEN_MEDIAN, UNEVEN_LN_SD = 1.07, 0.27

SALINITY_REFERENCE_G_PER_KG = 25.0
SALINITY_DELAY_PER_G_PER_KG = 0.0146
HARDLY_ANY_ABOVE_G_PER_KG = 90.0  # FAO 428: good at 5–35, hardly any above 85–90

INSTAR_II_H = 8.0  # "about 8 h at 25–28 °C" [M]
INSTAR_II_AT_C = 26.5

_T80_BASE_C, _Q10, _SLOW_AT_30 = 12.3, 2.75, 0.85  # see `pace_range`
_Z90 = 1.2815515655446004  # 90 % point of the standard normal distribution


def _curve(water_c: float) -> float:
    rise: float = water_c * (water_c - BASE_C) * (CEILING_C - water_c) ** (1.0 / 3.0)
    return rise


_CURVE_AT_REFERENCE = _curve(REFERENCE_C)


def pace(water_c: float) -> float:
    """Pace of development relative to that at 25 °C (1.0 there; 0 where it stands still).

    Briere's law T·(T − T0)·(TL − T)^(1/m) with T0 9.07 °C, TL 36 °C, m 3, our fit to the 20 and 24 °C rows of
    a literature compilation (A. franciscana, San Francisco Bay): first nauplius 25 h against 17 h is a
    ratio of 1.471, 80 % hatched 38 h against 25 h is 1.520; the law gives 1.489. With the median lot it
    has 90 % hatched at 28 °C after 19.0 h, where Sorgeloos & Persoone 1975 name 18 to 24 h as longest.
    Between 28 and 33 °C it gains another 10 % at most (observations: no more speed-up towards 30 °C).
    Zero at 9.07 °C and below; below 15 °C it is an extrapolation, "not known". Above 33 °C it is zero:
    development stops and may not recover. Refuses what no probe may be believed to say (−5 to 60 °C).
    """
    within("water temperature", water_c, -5.0, 60.0, "°C")
    if not BASE_C < water_c <= STOPS_ABOVE_C:
        return 0.0
    return _curve(water_c) / _CURVE_AT_REFERENCE


def pace_range(water_c: float) -> tuple[float, float, float]:
    """Pace as the sources leave it open: its 10, 50 and 90 % point, relative to that at 25 °C.

    From 15 to 27 °C they agree, and it is `pace`. Below, no hatching times are at hand: the middle is
    `pace`, the slow end the straight law that the handbook's T80 rows give (base 12.3 °C), the quick end
    their Q10, 2.6 to 2.9, down to the 4 °C from which cysts are active. Above, a compilation's 80 % take 24
    to 31 h at 30 °C, against 25 h at 24 °C, so that it may be slower there again, and another source has a
    quick fall above 30 °C: the slow end falls straight from 27 °C through 25/27.5 of the pace at 24 °C (0.85)
    at 30 °C. The middle gains nothing from 28 °C on (observations: no more speed-up towards 30 °C); the quick
    end is `pace`. All three are zero above 33 °C.
    """
    middle = pace(water_c)
    if water_c > STOPS_ABOVE_C or NOT_KNOWN_BELOW_C <= water_c <= NOT_KNOWN_ABOVE_C:
        return middle, middle, middle
    if water_c < NOT_KNOWN_BELOW_C:
        straight = max(0.0, (water_c - _T80_BASE_C) / (REFERENCE_C - _T80_BASE_C))
        quick: float = _Q10 ** ((water_c - REFERENCE_C) / 10.0) if water_c >= ACTIVE_FROM_C else 0.0
        return min(straight, middle), middle, max(middle, quick)
    fall_per_k = (pace(NOT_KNOWN_ABOVE_C) - _SLOW_AT_30) / (30.0 - NOT_KNOWN_ABOVE_C)
    slow = max(0.0, pace(NOT_KNOWN_ABOVE_C) - fall_per_k * (water_c - NOT_KNOWN_ABOVE_C))
    return slow, pace(min(water_c, 28.0)), max(middle, pace(min(water_c, 28.0)))


def salinity_delay(salinity_g_per_kg: float) -> float:
    """By how much hatching times stretch against those at 25 g/kg (1.0 there).

    0.18 h (first) to 0.25 h (80 %) per g/kg at 30 °C, from a literature compilation, on the median lot's
    T50 of 14.8 h at that temperature: 1.46 % per g/kg. Known for 5–35 g/kg; refused above 90, where hardly
    any hatch.
    """
    within("salinity", salinity_g_per_kg, 0.0, HARDLY_ANY_ABOVE_G_PER_KG, "g/kg")
    return 1.0 + SALINITY_DELAY_PER_G_PER_KG * (salinity_g_per_kg - SALINITY_REFERENCE_G_PER_KG)


def ln_spread(synchrony: float) -> float:
    """Standard deviation of ln(hatching dose) over cysts whose (T90 − T10)/T50 is `synchrony`.

    T90 − T10 = T50·2·sinh(1.2816·s), solved for s.
    """
    return asinh(within("synchrony", synchrony, 1e-3, 10.0) / 2.0) / _Z90


def hatched_share(dose_h: float, t50_h: float, synchrony: float) -> float:
    """Share (0–1) of the hatchable cysts hatched after `dose_h` hours at 25 °C.

    Lognormal over cysts: nothing has hatched at dose 0, the late half takes longer than the early one, and
    the first swimmers (1 to 3 in 100) come at three quarters of T50, as published T0 and T80 have it.
    """
    within("dose", dose_h, 0.0, inf, "h")
    within("T50", t50_h, 0.1, 10_000.0, "h")
    spread = ln_spread(synchrony)
    ratio = dose_h / t50_h
    return 0.0 if ratio == 0.0 else 0.5 * erfc(-log(ratio) / (spread * sqrt(2.0)))


def dose_at_share(share: float, t50_h: float, synchrony: float) -> float:
    """The dose, hours at 25 °C, at which `share` of the hatchable cysts has hatched.

    The inverse of `hatched_share`; 0 for share 0. All of them (share 1) takes for ever and is refused.
    """
    within("T50", t50_h, 0.1, 10_000.0, "h")
    spread = ln_spread(synchrony)
    within("share", share, 0.0, 1.0)
    if share == 1.0:
        raise OutOfRange("share", share, 0.0, 0.9999, "")
    return 0.0 if share == 0.0 else t50_h * exp(spread * quantile(share))


def hours_to_instar_ii(water_c: float) -> float:
    """Hours from hatching to instar II, the first that feeds.

    About 8 h at 25–28 °C [M], carried to other temperatures by `pace` (our assumption). Refuses
    temperatures at which development stands still.
    """
    within("water temperature", water_c, NOT_KNOWN_BELOW_C, STOPS_ABOVE_C, "°C")
    return INSTAR_II_H * pace(INSTAR_II_AT_C) / pace(water_c)
