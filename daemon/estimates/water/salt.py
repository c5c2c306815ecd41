"""The salt in one vessel: an exact account in grams, and how well it is known.

Salt stays while water leaves, so only deeds move it. A recipe means so many grams dissolved *in* a litre of
water. What a measured salinity finds amiss is an entry of its own, so the account still adds up.

A reading far from what was expected has two explanations: the tool was misread, or the salt is not what was
recorded. Both are kept, each with its weight, until more is known (a Gaussian sum: Alspach & Sorenson 1972,
IEEE Transactions on Automatic Control 17 [M]): one middle between them would be salt that neither supports.
"""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, replace
from itertools import combinations
from math import fsum, sqrt

from daemon.estimates.quantile import Estimate, Part, of_normals
from daemon.estimates.water.grid import EvaporationGrid
from daemon.estimates.water.level import Level, joined
from daemon.science.brine import MOST_SALT_G_PER_KG, density_kg_per_m3, salinity_in_a_litre, salt_g_of

RECIPE_C = 25.0  # the temperature recipes are taken at; 10 K of it change the grams by 0.3 %
USUAL_SALT_G_PER_L = 25.0
MOST_SALT_G_PER_L = 130.0
SALT_SD_SHARE, SALT_NOT_GIVEN_SD_SHARE = 0.025, 0.30
# One time in twenty the salt is not what was recorded: brine recorded as water, which may double it [P].
WRONG_SALT_SHARE, WRONG_SALT_SD_SHARE = 0.05, 0.60
LEAST_TIMES = 0.1  # no reading takes more than nine tenths of the salt out of the account
EXPLANATIONS = 2
LEAST_VOLUME_SHARE = 0.05  # of the mark: below it the vessel is dry, and salinity means nothing


@dataclass(frozen=True, slots=True)
class Salt:
    """Salt in the vessel, g; `sd_share` is its relative uncertainty.

    `guesses` are what it may be, as multiples of `salt_g`: weights, means and variances with a mean of 1 and
    that uncertainty. None where there is but one explanation.
    """

    salt_g: float
    sd_share: float
    guesses: tuple[Level, ...] = ()

    @property
    def explanations(self) -> tuple[Level, ...]:
        """The guesses, or the one normal where there are none."""
        return self.guesses or ((1.0, 1.0, self.sd_share * self.sd_share),)

    def believed_g(self) -> Estimate:
        """The salt, g; never below none."""
        parts = (Part(w, m * self.salt_g, sqrt(v) * self.salt_g) for w, m, v in self.explanations)
        found = of_normals(parts)
        return Estimate(max(0.0, found.p10), max(0.0, found.p50), max(0.0, found.p90))

    def plus(self, added_g: float) -> "Salt":
        """With so much more, of which every explanation gets the same."""
        if self.salt_g <= 0.0 or not self.guesses:
            return replace(self, salt_g=self.salt_g + added_g)
        old = self.salt_g / (self.salt_g + added_g)
        guesses = tuple((w, 1.0 + old * (times - 1.0), variance) for w, times, variance in self.guesses)
        return _of_guesses(self.salt_g + added_g, guesses)


def _of_guesses(salt_g: float, guesses: tuple[Level, ...]) -> Salt:
    return Salt(salt_g, sqrt(joined(list(guesses))[2]), guesses)


class SaltAccount:
    """What came, what went, what a measurement corrected, all in g since the vessel was last set."""

    def __init__(self) -> None:
        self.recipe_g_per_l = USUAL_SALT_G_PER_L
        self._known = Salt(0.0, SALT_NOT_GIVEN_SD_SHARE)  # how well; how much is the entries' sum
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
    def salt_g(self) -> float:
        """What is in the vessel, g: the exact sum of the entries, never below none."""
        return max(0.0, fsum(self._entries))

    @property
    def salt(self) -> Salt:
        """What is in the vessel, and how well that is known."""
        return replace(self._known, salt_g=self.salt_g)

    @property
    def recipe_g_per_kg(self) -> float:
        """Salinity of the recipe the vessel was set with."""
        return recipe_g_per_kg(self.recipe_g_per_l)

    def begin(self, volume_ml: float, salt_g_per_l: float | None) -> None:
        """The vessel is emptied and set with so much brine."""
        self.recipe_g_per_l = USUAL_SALT_G_PER_L if salt_g_per_l is None else salt_g_per_l
        self._known = Salt(0.0, SALT_NOT_GIVEN_SD_SHARE if salt_g_per_l is None else SALT_SD_SHARE)
        self._entries = []
        self.pour(volume_ml, salt_g_per_l)

    def pour(self, volume_ml: float, salt_g_per_l: float | None) -> None:
        """Brine comes; of the vessel's own recipe where its salt is not given."""
        recipe = self.recipe_g_per_l if salt_g_per_l is None else salt_g_per_l
        salt_g = salt_g_of(volume_ml, recipe_g_per_kg(recipe), RECIPE_C)
        self._known = self.salt.plus(salt_g)
        self._entries.append(salt_g)

    def draw(self, share: float) -> None:
        """That share of the brine is taken out, salt and all."""
        self._entries.append(-min(1.0, max(0.0, share)) * self.salt.salt_g)

    def correct(self, guesses: Sequence[Level]) -> None:
        """A measurement says it is so many times what the account says, by one explanation or by more."""
        some = [(w, max(LEAST_TIMES, m), v) for w, m, v in guesses]
        weight, times, _ = joined(some)
        known = tuple((w / weight, m / times, v / (times * times)) for w, m, v in some)
        self._entries.append((times - 1.0) * self.salt.salt_g)
        self._known = _of_guesses(0.0, known)


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

    Given a node and an explanation, level and salt are normal and the salinity is taken as straight in both.
    Salt that is not what was recorded is one more explanation, with every reading.
    """
    salt = account.salt
    salt_g, wrong_sd = salt.salt_g, max(salt.sd_share, WRONG_SALT_SD_SHARE)
    guesses = [((1.0 - WRONG_SALT_SHARE) * w, times, variance) for w, times, variance in salt.explanations]
    guesses.append((WRONG_SALT_SHARE, 1.0, wrong_sd * wrong_sd))
    levels: list[Level] = []
    salts: list[list[Level]] = []  # by node and explanation: the salt as a multiple of what the account says
    for level in zip(grid.weight, grid.offset_ml, grid.variance, strict=True):
        volume_ml = max(LEAST_VOLUME_SHARE * mark_ml, mark_ml - level[1])
        expected = salinity_of(salt_g, volume_ml, water_c)
        parts = [_observed(level, seen / expected, tool_sd / expected, volume_ml, guess) for guess in guesses]
        levels.append(joined([part for part, _ in parts]))
        salts.append([told for _, told in parts])
    if sum(weight for weight, _, _ in levels) > 0.0:
        grid.become(levels)
        account.correct(fewer([joined(list(of_one)) for of_one in zip(*salts, strict=True)]))


def fewer(guesses: Sequence[Level]) -> list[Level]:
    """At most two explanations of them: those that say most nearly the same, by their own spread, are one."""
    left = [guess for guess in guesses if guess[0] > 0.0]
    while len(left) > EXPLANATIONS:
        one, other = min(combinations(left, 2), key=lambda pair: _apart(*pair))
        left = [guess for guess in left if guess is not one and guess is not other] + [joined([one, other])]
    return left


def _apart(one: Level, other: Level) -> float:
    """How far two explanations are from each other, squared, in their common spread."""
    between = one[1] - other[1]
    return between * between / max(1e-12, one[2] + other[2])


def _observed(level: Level, seen: float, tool: float, volume_ml: float, guess: Level) -> tuple[Level, Level]:
    """Level and salt after a reading, by one explanation of the salt.

    The reading `seen`, the tool's sd and the guess are multiples of the salinity that the account expects.
    """
    weight, loss_ml, variance = level
    chance, times, by_salt = guess
    by_level = times * times * variance / (volume_ml * volume_ml)
    whole, off = tool * tool + by_salt + by_level, seen - times
    # Student's t with 4 degrees of freedom: a tool is misread now and then.
    fit = chance * weight * (1.0 + off * off / (4.0 * whole)) ** -2.5 / sqrt(whole)
    trust = min(1.0, 5.0 / (4.0 + off * off / whole))
    gain = trust / whole
    moved_ml = gain * times * variance / volume_ml * off
    return (
        (fit, loss_ml + moved_ml, variance * (1.0 - gain * by_level)),
        (fit, times + gain * by_salt * off, by_salt * (1.0 - gain * by_salt)),
    )
