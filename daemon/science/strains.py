"""What is believed of cysts before any of the lot was hatched.

Imports no law of hatching: the station file's reader knows the names, and rehearsals read station files.
"""

from dataclasses import dataclass

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


# The figures of `hatching`, with their sources there; a test holds them together.
STRAINS = {UNKNOWN: Strain(19.0, 0.28, 0.36, 0.35)}
