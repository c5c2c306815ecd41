"""What a hatch needs besides warmth and salt: light, pH, room, and cysts not too old.

Most sources give a limit and no figure for what happens beyond it. So most answers are a verdict and a note;
a number stands only where a source has one.
"""

from dataclasses import dataclass
from math import exp, log

from daemon.science.normal import quantile, share_below
from daemon.science.valid_range import within

ENOUGH_LUX = 2000.0  # about, in the first hours after hydration (FAO 428) [R]
ENOUGH_MINUTES = 10.0  # of it have been enough (Sorgeloos & Persoone 1975) [R, secondary]
TRIGGERABLE_DAYS = 20.0  # a dark cyst stays so for 20 days and more (Van der Linden et al. 1989) [R]
LEAST_PH = 8.0  # FAO 428 [R]
MOST_CYSTS_G_PER_L = 5.0  # under 20 L (FAO 428) [R]
MOST_CYSTS_G_PER_L_LARGE = 2.0  # above 20 L (FAO 428) [R]
LARGE_L = 20.0

# Hatching percentage of 15 commercial lots: median 79 %, from 5 to 99.6 % (López-Torres & Lizárraga-Partida
# 2001, Aquaculture 194:11-20) [R]. Of 15 normal draws the outermost lie 1.74 sd from the middle on average
# [M]: on the logit scale that is 2.45 below and 2.41 above, so a logit-normal fits both ends.
HATCHABLE_MEDIAN = 0.79
HATCHABLE_LOGIT_SD = 2.43
AGE_WIDENS_PER_YEAR = 0.25  # of the lower half's sd; storage lowers it, nobody says by how much [P]


@dataclass(frozen=True)
class Verdict:
    """Whether a condition is within what the sources ask for, and what they say."""

    good: bool
    note: str


@dataclass(frozen=True)
class LightEffect:
    """What light in the first hours does: a range for the factor on the hatchable share, and the wait.

    `wait_h` is how long cysts that need light have waited for it, counted from hydration; None while there
    has been none. Cysts that need none do not wait.
    """

    share_low: float
    share_high: float
    wait_h: float | None
    note: str


def light_effect(lux: float, minutes: float, began_h: float = 0.0) -> LightEffect:
    """The effect of `minutes` of light of `lux` lux that began `began_h` hours after the cysts were wetted.

    Enough, about 2000 lux (FAO 428) for 10 minutes (Sorgeloos & Persoone 1975), triggers all that can be:
    factor 1. Less, or none: between 0 and 1, since no source at hand tells how many hatch in the dark or in
    dim light; they wait. Light after more than 20 dark days is past what has been tried.
    """
    within("light", lux, 0.0, 200_000.0, "lux")
    within("minutes of light", minutes, 0.0, 1e6, "min")
    within("start of light", began_h, 0.0, 1e5, "h")
    if lux == 0.0 or minutes == 0.0:
        return LightEffect(0.0, 1.0, None, "no light so far: fewer hatch, and the rest wait for it")
    if lux < ENOUGH_LUX or minutes < ENOUGH_MINUTES:
        return LightEffect(0.0, 1.0, began_h, "dimmer or shorter than the 10 minutes of 2000 lux known to do")
    if began_h > 24.0 * TRIGGERABLE_DAYS:
        return LightEffect(0.0, 1.0, began_h, "lit after more than 20 dark days: not tried")
    return LightEffect(1.0, 1.0, began_h, "light enough")


def ph_verdict(ph: float) -> Verdict:
    """Whether the pH suits: 8 or above (FAO 428). No source at hand tells how many fewer hatch below it."""
    if within("pH", ph, 0.0, 14.0) >= LEAST_PH:
        return Verdict(True, "8 or above, as it should be")
    note = "below 8: fewer may hatch, how many is not known; up to 1 g/L of soda, well aired, raises it"
    return Verdict(False, note)


def most_cysts_g_per_l(volume_l: float) -> float:
    """The most cysts to set, g/L: 5 under 20 L, 2 from there on (FAO 428)."""
    small = within("volume", volume_l, 1e-3, 1e6, "L") < LARGE_L
    return MOST_CYSTS_G_PER_L if small else MOST_CYSTS_G_PER_L_LARGE


def density_verdict(cysts_g: float, volume_l: float) -> Verdict:
    """Whether so many grams of cysts have room in so many litres."""
    most = most_cysts_g_per_l(volume_l)
    if within("cysts", cysts_g, 0.0, 1e6, "g") / volume_l <= most:
        return Verdict(True, f"at most {most:g} g/L, as it should be")
    return Verdict(False, f"over {most:g} g/L: oxygen runs short; how many fewer hatch is not known")


def hatchable_share_quantile(share_of_lots: float, age_years: float = 0.0) -> float:
    """The hatchable share (0–1) that `share_of_lots` of all lots stay below; 0.5 gives 0.79.

    Logit-normal through the 15 commercial lots above; of them this is all that is known, and a label's
    "90 %" is what a good label says [P]. Age is years in storage: it stretches only the lower half, by a
    quarter of its width a year [P]. Storage never makes more hatch, and a lot kept dry and cold may lose
    nothing: so the middle stays. Refused beyond 20 years.
    """
    within("age", age_years, 0.0, 20.0, "years")
    z = quantile(within("share of lots", share_of_lots, 1e-6, 1.0 - 1e-6))
    widened = 1.0 + AGE_WIDENS_PER_YEAR * age_years if z < 0.0 else 1.0
    return 1.0 / (1.0 + exp(-_HATCHABLE_LOGIT - HATCHABLE_LOGIT_SD * widened * z))


def share_of_lots_below(hatchable_share: float) -> float:
    """The share (0–1) of fresh lots whose hatchable share is below this; the quantile's inverse."""
    if within("hatchable share", hatchable_share, 0.0, 1.0) in (0.0, 1.0):
        return hatchable_share
    logit = log(hatchable_share / (1.0 - hatchable_share))
    return share_below(logit, _HATCHABLE_LOGIT, HATCHABLE_LOGIT_SD)


_HATCHABLE_LOGIT = log(HATCHABLE_MEDIAN / (1.0 - HATCHABLE_MEDIAN))
