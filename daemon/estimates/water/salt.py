"""The salt in one vessel: an exact account in grams, and how well it is known.

Salt stays while water leaves, so only deeds move it. A recipe means so many grams dissolved *in* a litre of
water. What a measured salinity finds amiss is an entry of its own, so the account still adds up.
"""

from copy import copy
from dataclasses import dataclass
from math import fsum, sqrt

from daemon.estimates.water.grid import EvaporationGrid
from daemon.estimates.water.level import Level, joined
from daemon.science.brine import MOST_SALT_G_PER_KG, density_kg_per_m3, salinity_in_a_litre, salt_g_of

RECIPE_C = 25.0  # the temperature recipes are taken at; 10 K of it change the grams by 0.3 %
USUAL_SALT_G_PER_L = 25.0
MOST_SALT_G_PER_L = 130.0
SALT_SD_SHARE, SALT_NOT_GIVEN_SD_SHARE = 0.025, 0.30
# One time in twenty the salt is not what was recorded: brine recorded as water, which may double it [P].
WRONG_SALT_SHARE, WRONG_SALT_SD_SHARE = 0.05, 0.60
LEAST_VOLUME_SHARE = 0.05  # of the mark: below it the vessel is dry, and salinity means nothing


@dataclass(frozen=True, slots=True)
class Salt:
    """Salt in the vessel, g; `sd_share` is its relative uncertainty."""

    salt_g: float
    sd_share: float


class SaltAccount:
    """What came, what went, what a measurement corrected, all in g since the vessel was last set."""

    def __init__(self) -> None:
        self.recipe_g_per_l = USUAL_SALT_G_PER_L
        self.sd_share = SALT_NOT_GIVEN_SD_SHARE
        self._entries: list[float] = []

    def copy(self) -> "SaltAccount":
        """A copy that goes its own way."""
        twin = copy(self)
        twin._entries = list(self._entries)
        return twin

    @property
    def entries_g(self) -> tuple[float, ...]:
        """Every gram that came (positive) or went (negative), in order."""
        return tuple(self._entries)

    @property
    def salt(self) -> Salt:
        """What is in the vessel: the exact sum of the entries, never below none."""
        return Salt(max(0.0, fsum(self._entries)), self.sd_share)

    @property
    def recipe_g_per_kg(self) -> float:
        """Salinity of the recipe the vessel was set with."""
        return recipe_g_per_kg(self.recipe_g_per_l)

    def begin(self, volume_ml: float, salt_g_per_l: float | None) -> None:
        """The vessel is emptied and set with so much brine."""
        self.recipe_g_per_l = USUAL_SALT_G_PER_L if salt_g_per_l is None else salt_g_per_l
        self.sd_share = SALT_NOT_GIVEN_SD_SHARE if salt_g_per_l is None else SALT_SD_SHARE
        self._entries = []
        self.pour(volume_ml, salt_g_per_l)

    def pour(self, volume_ml: float, salt_g_per_l: float | None) -> None:
        """Brine comes; of the vessel's own recipe where its salt is not given."""
        recipe = self.recipe_g_per_l if salt_g_per_l is None else salt_g_per_l
        self._entries.append(salt_g_of(volume_ml, recipe_g_per_kg(recipe), RECIPE_C))

    def draw(self, share: float) -> None:
        """That share of the brine is taken out, salt and all."""
        self._entries.append(-min(1.0, max(0.0, share)) * self.salt.salt_g)

    def correct(self, factor: float, sd_share: float) -> None:
        """A measurement says it is so many times what the account says."""
        self._entries.append((factor - 1.0) * self.salt.salt_g)
        self.sd_share = sd_share


def recipe_g_per_kg(salt_g_per_l: float) -> float:
    """Salinity of a recipe, held to what the density law allows."""
    return salinity_in_a_litre(min(MOST_SALT_G_PER_L, max(0.0, salt_g_per_l)))


def salinity_of(salt_g: float, volume_ml: float, water_c: float) -> float:
    """Salinity of brine that holds `salt_g` g in `volume_ml` mL, g/kg.

    S = 1000·salt/(ρ(S)·V); the density of a first guess is right to 0.1 g/kg up to 35.
    """
    rough = min(MOST_SALT_G_PER_KG, 990.0 * salt_g / volume_ml)
    return 1e6 * salt_g / (volume_ml * density_kg_per_m3(water_c, rough))


def observe_salinity(
    account: SaltAccount, grid: EvaporationGrid, mark_ml: float, water_c: float, seen: float, tool_sd: float
) -> None:
    """A measured salinity (g/kg) speaks of the salt, of the level and so of k; all three are updated.

    Given a node, level and salt are normal and the salinity is taken as straight in both. Salt that is not
    what was recorded is the other explanation of a strange reading.
    """
    share, salt_g = account.sd_share, account.salt.salt_g
    guesses = ((1.0 - WRONG_SALT_SHARE, share), (WRONG_SALT_SHARE, max(share, WRONG_SALT_SD_SHARE)))
    levels: list[Level] = []
    salts: list[Level] = []  # the salt as a multiple of what the account says
    for level in zip(grid.weight, grid.offset_ml, grid.variance, strict=True):
        volume_ml = max(LEAST_VOLUME_SHARE * mark_ml, mark_ml - level[1])
        expected = salinity_of(salt_g, volume_ml, water_c)
        off, tool = seen / expected - 1.0, tool_sd / expected
        parts = [_observed(level, off, tool, volume_ml, *guess) for guess in guesses]
        levels.append(joined([part for part, _ in parts]))
        salts.extend(salt for _, salt in parts)
    _, factor, variance = joined(salts)
    if sum(weight for weight, _, _ in levels) > 0.0:
        grid.become(levels)
        account.correct(max(0.1, factor), sqrt(variance))


def _observed(
    level: Level, off: float, tool: float, volume_ml: float, chance: float, share: float
) -> tuple[Level, Level]:
    """Level and salt after a reading `off` from what was expected; `off`, `tool`, `share` are relative."""
    weight, loss_ml, variance = level
    by_level = variance / (volume_ml * volume_ml)
    whole = tool * tool + share * share + by_level
    # Student's t with 4 degrees of freedom: a tool is misread now and then.
    fit = chance * weight * (1.0 + off * off / (4.0 * whole)) ** -2.5 / sqrt(whole)
    trust = min(1.0, 5.0 / (4.0 + off * off / whole))
    gain = trust / whole
    moved_ml = gain * variance / volume_ml * off
    return (
        (fit, loss_ml + moved_ml, variance * (1.0 - gain * by_level)),
        (fit, 1.0 + gain * share * share * off, share * share * (1.0 - gain * share * share)),
    )
