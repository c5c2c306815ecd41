"""How many cups an experiment needs: it is played many times by chance, and its test is asked."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from random import Random

from daemon.errors import InputError
from daemon.planning.experiment import chosen_test
from daemon.planning.experiment.chosen_test import SEED, Test, chosen_for, judged
from daemon.planning.experiment.counts import MOST_IN_A_CUP, MOST_LEVELS
from daemon.planning.experiment.drawn_cups import drawn_cup
from daemon.science.quasi_binomial import treatments_test
from daemon.science.replicate_cups import Cup
from daemon.science.significance import critical_h, kruskal_wallis

PLAYED = 1000  # one standard error is 1.6 % at most
RARE = chosen_test.RARE
ENOUGH = 0.8  # found in 8 experiments of 10 (common practice, no source)
MOST_CUPS_A_LEVEL = 40
MOST_DISPERSION = 10.0
MOST_CYSTS = MOST_IN_A_CUP // 10
# As Crowder's plates of seeds, the nearest published likeness to cysts in cups (1978) [R for the result].
DISPERSION = 1.9


@dataclass(frozen=True, slots=True)
class PlayedDesign:
    """An experiment to be: levels, cups a level, cysts in a cup, and what is to be noticed.

    One level has the `share`, one has `difference` less, others lie midway: that is the hardest to notice.
    Cups of a level differ `dispersion` times as much as chance alone has it (1: by chance alone).
    """

    levels: int
    cups: int
    of: int
    share: float
    difference: float
    dispersion: float = DISPERSION

    @property
    def shares(self) -> list[float]:
        """The share of each level."""
        between = [self.share - self.difference / 2.0] * (self.levels - 2)
        return [self.share, *between, self.share - self.difference]


@dataclass(frozen=True, slots=True)
class Power:
    """In which share of experiments the test finds the levels not all alike; the cups a level that would do.

    `enough_cups` finds them in 8 of 10; None where 40 a level would not.
    """

    design: PlayedDesign
    test: Test
    found: float
    enough_cups: int | None


_ONE_CUP = ", for of a single cup nobody knows whether it was the level or just that cup"


def _why(field: str, value: float) -> str:
    return _ONE_CUP if (field, value) == ("cups", 1) else ""


def faults_of_design(design: PlayedDesign) -> list[tuple[str, str]]:
    """What cannot be: the field, and a line that says what was found and what is allowed."""
    most_dispersion = max(1.0, min(MOST_DISPERSION, design.of / 2)) if design.of >= 1 else MOST_DISPERSION
    limits: list[tuple[str, float, float, float]] = [
        ("levels", design.levels, 2, MOST_LEVELS),
        ("cups", design.cups, 2, MOST_CUPS_A_LEVEL),
        ("of", design.of, 1, MOST_CYSTS),
        ("share", design.share, 0.0, 1.0),
        ("difference", design.difference, 0.0, 1.0),
        ("dispersion", design.dispersion, 1.0, most_dispersion),
    ]
    faults = [
        (
            field,
            f"found {value:g}; allowed: {low:g} to {high:g}{_why(field, value)}",
        )
        for field, value, low, high in limits
        if not low <= value <= high
    ]
    if design.difference == 0.0:
        faults.append(("difference", "found 0; allowed: above 0, up to the share"))
    if not faults and design.difference > design.share:
        faults.append(
            ("difference", f"found {design.difference:g}; allowed: up to the share, {design.share:g}")
        )
    return faults


def power_of(design: PlayedDesign, seed: int = SEED) -> Power:
    """Play the experiment, and look how many cups would do. Raises InputError for what cannot be."""
    if faults := faults_of_design(design):
        raise InputError(*(f"{field}: {fault}" for field, fault in faults))
    test = chosen_for([design.cups] * design.levels, single_animals=design.of == 1)
    return Power(design, test, found_share(design, seed), _enough(design, seed))


def found_share(design: PlayedDesign, seed: int = SEED) -> float:
    """In which share of a thousand experiments the test gives p ≤ 0.05. Same design and seed, same share."""
    return sum(_played(design, seed)) / PLAYED


def finds_enough(design: PlayedDesign, seed: int = SEED) -> bool:
    """Whether that share is `ENOUGH`; no more is played than it takes to know."""
    hits_left, misses_left = round(ENOUGH * PLAYED), PLAYED - round(ENOUGH * PLAYED) + 1
    for is_found in _played(design, seed):
        hits_left -= is_found
        misses_left -= not is_found
        if not hits_left or not misses_left:
            break
    return not hits_left


def _played(design: PlayedDesign, seed: int) -> Iterator[bool]:
    # Not a chance that anybody must not guess.
    chance = Random(seed)  # noqa: S311
    return (_is_found(drawn(design, chance)) for _ in range(PLAYED))


def drawn(design: PlayedDesign, chance: Random) -> list[list[Cup]]:
    """One experiment of the design as chance has it."""
    return [
        [(drawn_cup(chance, design.of, share, design.dispersion), design.of) for _ in range(design.cups)]
        for share in design.shares
    ]


def _is_found(levels: Sequence[Sequence[Cup]]) -> bool:
    sizes = tuple(len(cups) for cups in levels)
    match chosen_for(sizes, single_animals=levels[0][0][1] == 1):
        case "quasi-binomial F":
            return treatments_test(levels).p <= RARE
        case "Fisher exact":
            return (judged(levels).p or 0.0) <= RARE
        case _:
            # By the border of ranks without ties: all dealings of every experiment would take minutes.
            return kruskal_wallis([[y / of for y, of in cups] for cups in levels], exact=False).h >= _border(
                sizes
            )


@cache
def _border(sizes: tuple[int, ...]) -> float:
    """A hair below the critical H, so that rounding keeps none from it."""
    return critical_h(sizes, RARE, SEED) - 1e-9


def _enough(design: PlayedDesign, seed: int) -> int | None:
    """The fewest cups a level that find it in 8 of 10, by doubling and halving: more cups find more."""

    def finds(cups: int) -> bool:
        return finds_enough(replace(design, cups=cups), seed)

    low, high = 1, 2
    while not finds(high):
        if high == MOST_CUPS_A_LEVEL:
            return None
        low, high = high, min(2 * high, MOST_CUPS_A_LEVEL)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if finds(middle) else (middle, high)
    return high
