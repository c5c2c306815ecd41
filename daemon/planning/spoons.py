"""Salt by the spoon: how many spoons an amount is, and what so many may really hold.

A spoon tells its weight only roughly, and how roughly hangs on the grain. Weighing is always better.
"""

from dataclasses import dataclass
from typing import Literal

from daemon.science.valid_range import within

Grain = Literal["fine", "coarse", "flakes"]
Spoon = Literal["level-teaspoon", "level-tablespoon", "heaping-teaspoon", "heaping-tablespoon"]

# A level metric teaspoon holds 5 mL, a tablespoon three of them. Fine table salt: 6 g and 18 g (US Department
# of Agriculture's table of household measures [M]), 1.2 g/mL. Coarse grains pack to about 1.0, flakes to
# 0.55 g/mL, both with a wide spread between makes [P].
_G_PER_ML: dict[Grain, float] = {"fine": 1.2, "coarse": 1.0, "flakes": 0.55}
_LEVEL_SPREAD: dict[Grain, float] = {"fine": 0.12, "coarse": 0.2, "flakes": 0.3}
_SPOON_ML: dict[Spoon, float] = {
    "level-teaspoon": 5.0,
    "level-tablespoon": 15.0,
    "heaping-teaspoon": 5.0,
    "heaping-tablespoon": 15.0,
}
# A heaping tablespoon of fine salt is about 25 g [P]: 1.4 level ones, and hands heap differently.
HEAPED_TIMES, _HEAPED_SPREAD = 25.0 / 18.0, 0.25
# Sets of measuring spoons have quarter and half teaspoons; nobody heaps half a spoon, nor counts past 20.
_STEPS: dict[Spoon, tuple[float, ...]] = {
    "level-teaspoon": (0.25, 0.5, 1.0),
    "level-tablespoon": (0.5, 1.0),
    "heaping-teaspoon": (1.0,),
    "heaping-tablespoon": (1.0,),
}
MOST_SPOONS = 20.0
# The surest come first.
SPOONS: tuple[Spoon, ...] = ("level-tablespoon", "level-teaspoon", "heaping-tablespoon", "heaping-teaspoon")
GRAINS: tuple[Grain, ...] = ("fine", "coarse", "flakes")


@dataclass(frozen=True, slots=True)
class Spoonfuls:
    """So many spoons of one kind, and the grams that they may hold: eight times in ten."""

    spoon: Spoon
    number: float
    low_g: float
    high_g: float


def spread(spoon: Spoon, grain: Grain) -> float:
    """By what share of it a spoonful may be off, to either side [P]."""
    return max(_LEVEL_SPREAD[grain], _HEAPED_SPREAD) if _heaped(spoon) else _LEVEL_SPREAD[grain]


def spoon_g(spoon: Spoon, grain: Grain) -> float:
    """What one spoonful holds, in the middle."""
    return _SPOON_ML[spoon] * _G_PER_ML[grain] * (HEAPED_TIMES if _heaped(spoon) else 1.0)


def spoonfuls(salt_g: float, spoon: Spoon, grain: Grain) -> Spoonfuls | None:
    """The spoons for an amount, None where no round number of them comes near enough.

    Parts of a spoon are no finer than a quarter of the whole spread; whole ones are counted one by one. Near
    enough is an amount in the inner half of what the spoons may really hold.
    """
    within("salt", salt_g, 0.0, 1e6, "g")
    one_g, off = spoon_g(spoon, grain), spread(spoon, grain)
    wanted = salt_g / one_g
    step = next((step for step in _STEPS[spoon] if step >= 0.5 * off * wanted), 1.0)
    number = round(wanted / step) * step
    if not 0.0 < number <= MOST_SPOONS or abs(number - wanted) > 0.5 * off * number:
        return None
    return Spoonfuls(spoon, number, number * one_g * (1.0 - off), number * one_g * (1.0 + off))


def best_spoonfuls(salt_g: float, grain: Grain) -> Spoonfuls | None:
    """By the surest and largest spoon that comes near enough; None where none does."""
    return next((found for spoon in SPOONS if (found := spoonfuls(salt_g, spoon, grain)) is not None), None)


def _heaped(spoon: Spoon) -> bool:
    return spoon in ("heaping-teaspoon", "heaping-tablespoon")
