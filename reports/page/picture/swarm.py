"""Where each inhabitant is drawn: apart from the others, in the water, and in the same place every time."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from random import Random

from reports.page.picture.inhabitants import Inhabitant
from reports.page.picture.outline import Outline
from reports.page.picture.svg import Point

# How far each reaches from its middle, and how far it may be turned, in degrees.
REACH = {
    "cyst": 6.0, "breaking": 10.0, "umbrella": 10.0,
    "nauplius": 17.0, "older": 17.5, "juvenile": 21.0, "adult": 26.0,
}  # fmt: skip
_TURNS = {"cyst": 180.0, "breaking": 20.0, "umbrella": 0.0, "nauplius": 60.0, "older": 60.0}
_TURN = 100.0
# So much of the water they may cover, each with the circle that it reaches.
_FILLED = 0.58
# The best of so many places is taken; where there is none, a smaller drawing is tried.
_TRIES = 32
_SMALLER = (1.0, 0.85, 0.7, 0.45, 0.3)
# To keep clear of others none gets smaller than this, only to fit into the glass.
_UNLIKE = 0.7
# So much of its reach one may lie over another: between limbs there is water.
_OVERLAP = 0.6
# Cysts lie on the lowest so much of the water; in a cone they heap up.
_GROUND, _HEAP = 0.3, 0.6


@dataclass(frozen=True, slots=True)
class Place:
    """Where one is drawn: its middle, how far it is turned (degrees) and how large it is."""

    x: float
    y: float
    turn: float
    scale: float


@dataclass(frozen=True, slots=True)
class Pool:
    """The water there is for them: an outline from its surface down to its ground."""

    outline: Outline
    top_y: float

    @property
    def deep(self) -> float:
        """How deep it is."""
        return self.outline.bottom_y - self.top_y

    @property
    def ground(self) -> float:
        """The share of its depth on which what sinks comes to rest."""
        is_narrow = self.outline.profile[-1][1] < self.outline.profile[0][1] * 0.3
        return _HEAP if is_narrow else _GROUND


def places(seed: str, all_of_them: Sequence[Inhabitant], pool: Pool, scale: float) -> list[Place | None]:
    """A place for each, None where it has no room. The seed is the vessel's name."""
    chance = Random(seed)  # noqa: S311 - where an animal is drawn is no secret
    taken: list[tuple[Point, float]] = []
    fitting = min(scale, _scale_with_room(all_of_them, pool))
    return [_place(chance, one, pool, fitting, taken) for one in all_of_them]


def _scale_with_room(all_of_them: Sequence[Inhabitant], pool: Pool) -> float:
    """How large they may be drawn so that they do not cover each other."""
    needed = sum(REACH[one.glyph] ** 2 for one in all_of_them)
    steps = 12
    heights = [pool.top_y + pool.deep * (n + 0.5) / steps for n in range(steps)]
    area = sum(2 * max(pool.outline.half_at(y) - 2.0, 0.0) for y in heights) * pool.deep / steps
    return math.sqrt(_FILLED * max(area, 0.0) / (math.pi * needed)) if needed else 1.0


def _place(
    chance: Random, one: Inhabitant, pool: Pool, scale: float, taken: list[tuple[Point, float]]
) -> Place | None:
    """As large as there is room for beside the others; over them, and small, where there is none."""
    turn = (chance.random() * 2 - 1) * _TURNS.get(one.glyph, _TURN)
    found: tuple[Point, float] | None = None
    for smaller in _SMALLER:
        reach = REACH[one.glyph] * scale * smaller
        tries = [point for point in _tries(chance, one, pool, reach) if point is not None]
        if not tries or 2 * reach > pool.deep:
            continue
        found = max(tries, key=lambda point: _apart(point, reach, taken)), reach
        if _apart(*found, taken) >= -_OVERLAP * reach or smaller <= _UNLIKE:
            break
    if found is None:
        return None
    taken.append(found)
    (x, y), reach = found
    return Place(x, y, turn, reach / REACH[one.glyph])


def _apart(point: Point, reach: float, taken: Sequence[tuple[Point, float]]) -> float:
    """How far the next neighbour's edge is away."""
    return min((math.dist(point, other) - reach - far for other, far in taken), default=0.0)


def _tries(chance: Random, one: Inhabitant, pool: Pool, reach: float) -> Iterator[Point | None]:
    """Places to choose from; None where the vessel is too narrow there."""
    for _ in range(_TRIES):
        across, down = chance.random() * 2 - 1, chance.random()
        y = _height(one.where, down, pool, reach)
        half = min(pool.outline.half_at(y + d * reach) for d in (-0.7, 0.0, 0.9)) - reach - 2.0
        yield (pool.outline.centre_x + across * half, y) if half > 0 else None


def _height(where: str, down: float, pool: Pool, reach: float) -> float:
    first, last = pool.top_y + reach, pool.outline.bottom_y - reach
    if where == "floating":
        return min(first + 1.0, last)
    if where == "ground":
        return max(last - 1.0 - down**2 * pool.deep * pool.ground, first)
    return first + down * max(last - first, 0.0)
