"""Strains: where to begin with cysts of a known origin, before more is known of the lot itself.

A strain is no fixed property: the hatching rate varies as much within strains as between them, with drying
and storage (Vanhaecke & Sorgeloos 1982 [R, abstract]), and lots of one strain differ by 40 to 50 %. So a
preset moves the middle a little and hardly ever narrows the range. Each is only as narrow as its data.
"""

from dataclasses import dataclass
from math import exp, log

from daemon.science import normal
from daemon.science.valid_range import within

# As `hatching` has them, with their sources there; a test holds them together. That law is not imported here:
# the reader of station files knows the names, and rehearsals read station files.
T50_MEDIAN_H, T50_LN_SD = 19.0, 0.28
SYNCHRONY_MEDIAN, SYNCHRONY_LN_SD = 0.36, 0.28
UNEVEN_SHARE, UNEVEN_MEDIAN, UNEVEN_LN_SD = 0.1, 1.07, 0.27
THRESHOLD_C = 9.07
# Cysts in a gram of any strain: the middle of a good product's 200,000 to 300,000 nauplii (Treece 2000, SRAC
# 702 [R]). A lot that was counted had 252,678 (Eslava-Eljaiek et al. 2011 [R]), and the weight of one dry
# cyst, 3.64 µg, makes it 275,000 (Clegg 1974 [R, C]). Eight in ten tins lie between 204,000 and 307,000.
CYSTS_PER_G, CYSTS_LN_SD = 250_000.0, 0.16


@dataclass(frozen=True)
class Strain:
    """A starting guess. Hours are at 25 °C and 25 g/kg from setting dry cysts; spreads are of logarithms.

    `synchrony` is (T90 − T10)/T50 of even lots; a share of lots (`uneven_share`) hatches over a day, with
    diapause, whatever the strain. `threshold_c` is the strain's own published hatching threshold, None where
    none is at hand; the pace law has one threshold for all.
    """

    name: str
    t50_median_h: float
    t50_ln_sd: float
    synchrony_median: float
    synchrony_ln_sd: float
    threshold_c: float | None
    source: str
    uneven_share: float = UNEVEN_SHARE

    def t50_h(self, share: float) -> float:
        """Quantile of T50 over lots: half of them hatch before t50_h(0.5), a tenth before t50_h(0.1)."""
        return self.t50_median_h * exp(self.t50_ln_sd * _z(share))

    def synchrony(self, share: float) -> float:
        """Quantile of (T90 − T10)/T50 over lots, even and uneven; found by halving, to a ten-thousandth."""
        within("share", share, 1e-6, 1.0 - 1e-6)
        low, high = log(1e-3), log(1e3)
        while high - low > 1e-5:
            middle = 0.5 * (low + high)
            low, high = (low, middle) if self._below(middle) > share else (middle, high)
        return exp(low)

    def _below(self, ln_synchrony: float) -> float:
        even = normal.share_below(ln_synchrony, log(self.synchrony_median), self.synchrony_ln_sd)
        uneven = normal.share_below(ln_synchrony, log(UNEVEN_MEDIAN), UNEVEN_LN_SD)
        return (1.0 - self.uneven_share) * even + self.uneven_share * uneven

    def synchrony_weight(self, synchrony: float) -> float:
        """How likely a synchrony is, by its logarithm; to a factor that is the same for all."""
        ln_synchrony = log(synchrony)
        even = normal.density(ln_synchrony, log(self.synchrony_median), self.synchrony_ln_sd)
        uneven = normal.density(ln_synchrony, log(UNEVEN_MEDIAN), UNEVEN_LN_SD)
        return (1.0 - self.uneven_share) * even + self.uneven_share * uneven


def _z(share: float) -> float:
    return normal.quantile(within("share", share, 1e-6, 1.0 - 1e-6))


UNKNOWN = Strain(
    name="unknown",
    t50_median_h=T50_MEDIAN_H,
    t50_ln_sd=T50_LN_SD,
    synchrony_median=SYNCHRONY_MEDIAN,
    synchrony_ln_sd=SYNCHRONY_LN_SD,
    threshold_c=None,
    source="all the rows below and several studies' synchronies; see `hatching`",
)

# Three lots, carried to 25 °C and 25 g/kg with `pace` and `salinity_delay`, "first" as 2 in 100 hatched and
# "longest" as 95 in 100: 18.2 h (rows of 20 and 24 °C), 20.8 h (the other lot), 16.0 h (longest 18 h at
# 28 °C; its salinity, 25 or 35 g/kg, is not named). Their geometric mean; the width stays that of lots at
# large, since three are few. The two lots' synchronies, 0.36 and 1.25, lie far apart: their geometric mean
# with the general 0.36, and a width that has both inside 90 % [our judgement]. That has the uneven lots in.
SAN_FRANCISCO_BAY = Strain(
    name="san-francisco-bay",
    t50_median_h=18.2,
    t50_ln_sd=T50_LN_SD,
    synchrony_median=0.54,
    synchrony_ln_sd=0.52,
    threshold_c=None,
    source="a literature compilation [R, secondary]; Sorgeloos & Persoone 1975 [R, secondary]",
    uneven_share=0.0,
)

# One figure: longest 24 h at about 28 °C, as 95 in 100, 22.8 h at 25 g/kg or 19.9 h if it was at 35.
GREAT_SALT_LAKE = Strain(
    name="great-salt-lake",
    t50_median_h=21.3,
    t50_ln_sd=0.30,
    synchrony_median=SYNCHRONY_MEDIAN,
    synchrony_ln_sd=SYNCHRONY_LN_SD,
    threshold_c=None,
    source="Sorgeloos & Persoone 1975 [R, secondary]",
)

# T10 10 h, T90 15.67 h, so T50 about 12.5 h as observed. What we hold does not tell at which temperature and
# salinity: at 25 to 28 °C and 15 to 30 g/kg it is 11.7 to 17.5 h. The middle, and a width for both [our
# judgement]. Synchrony 5.67/12.5, one lot.
POZOS_COLORADOS = Strain(
    name="pozos-colorados",
    t50_median_h=14.3,
    t50_ln_sd=0.32,
    synchrony_median=0.45,
    synchrony_ln_sd=SYNCHRONY_LN_SD,
    threshold_c=None,
    source="Eslava-Eljaiek et al. 2011, Intropica 6:101-108 [R]",
)

# Only a threshold is at hand, no hatching times: the wide default. The pace law takes its base from it.
SINICA = Strain(
    name="sinica",
    t50_median_h=T50_MEDIAN_H,
    t50_ln_sd=T50_LN_SD,
    synchrony_median=SYNCHRONY_MEDIAN,
    synchrony_ln_sd=SYNCHRONY_LN_SD,
    threshold_c=THRESHOLD_C,
    source="Yanchi Lake study, abstract [R]",
)

STRAINS = {
    strain.name: strain for strain in (UNKNOWN, SAN_FRANCISCO_BAY, GREAT_SALT_LAKE, POZOS_COLORADOS, SINICA)
}
