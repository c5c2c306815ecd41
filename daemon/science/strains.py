"""What is believed of cysts before any of the lot was hatched."""

from dataclasses import dataclass

from daemon.science.hatching import SYNCHRONY_LN_SD, SYNCHRONY_MEDIAN, T50_LN_SD, T50_MEDIAN_H

UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Strain:
    """A starting guess for a lot: medians, and standard deviations of their logarithms.

    T50 is hours at 25 °C and 25 g/kg to half of the hatchable cysts; synchrony is (T90 − T10)/T50.
    """

    t50_median_h: float
    t50_ln_sd: float
    synchrony_median: float
    synchrony_ln_sd: float


STRAINS = {UNKNOWN: Strain(T50_MEDIAN_H, T50_LN_SD, SYNCHRONY_MEDIAN, SYNCHRONY_LN_SD)}
