"""From weights to the three numbers that are shown: what is believed at 10, 50 and 90 %."""

from bisect import bisect_left
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import erf, sqrt
from operator import itemgetter

SHARES = (0.1, 0.5, 0.9)
Z90 = 1.2815515655446004  # the standard normal's 90 % point
BINS = 64
DEPTH_SD = 5.0  # how far beyond the outermost part a quantile is looked for
_Seen = tuple[float, float]  # a place, and the distribution function there
_value = itemgetter(1)


@dataclass(frozen=True, slots=True)
class Estimate:
    """What is believed of a quantity, in its unit: one time in ten below `p10`, one in ten above `p90`."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a mixture: a normal of `mean` and `sd`, believed with `weight` (any positive scale)."""

    weight: float
    mean: float
    sd: float


def normal_cdf(z: float) -> float:
    """The share of a standard normal below `z`."""
    return 0.5 * (1.0 + erf(z * 0.7071067811865476))


def ordered(p10: float, p50: float, p90: float) -> Estimate:
    """An estimate whose numbers stand in order, whatever rounding did to them."""
    middle = max(p10, p50)
    return Estimate(p10, middle, max(middle, p90))


def of_cdf(cdf: Callable[[float], float], low: float, high: float, step: float) -> Estimate:
    """The quantiles of a distribution function that does not fall between `low` and `high`.

    Found to within `step` by halving; a quantile that lies outside the limits is the limit.
    """
    seen = [(low, cdf(low)), (high, cdf(high))]
    found: list[float] = []
    floor = low
    for share in SHARES:
        floor = _crossing(cdf, share, floor, high, step, seen)
        found.append(floor)
    return ordered(*found)


def _crossing(
    cdf: Callable[[float], float], share: float, low: float, high: float, step: float, seen: list[_Seen]
) -> float:
    """Where halving ends; it asks for no moment whose answer follows from what was `seen`."""
    if seen[0][1] >= share:
        return low
    if seen[-1][1] < share:
        return high
    below, above = _around(cdf, share, step, seen)
    if low >= above or (low > below and cdf(low) >= share):
        return low
    while high - low > step:
        middle = 0.5 * (low + high)
        if not low < middle < high:  # no number lies between
            break
        if middle <= below or (middle < above and cdf(middle) < share):
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _around(
    cdf: Callable[[float], float], share: float, step: float, seen: list[_Seen]
) -> tuple[float, float]:
    """The two neighbours of what was seen, about `step` apart, between which the share is reached.

    A straight line between them tells where to look next; an end that stays counts half as much each time
    (the Illinois rule: Dowell & Jarratt 1971, BIT 11 [M]).
    """
    stays, counts = 0, 1.0
    while True:
        place = bisect_left(seen, share, key=_value)
        (below, least), (above, most) = seen[place - 1], seen[place]
        lacks = (share - least) * (counts if stays < 0 else 1.0)
        over = (most - share) * (counts if stays > 0 else 1.0)
        along = lacks / (lacks + over)
        at = min(above - 0.4 * step, max(below + 0.4 * step, below + along * (above - below)))
        if above - below <= step or not below < at < above:
            return below, above
        value = cdf(at)
        seen.insert(place, (at, value))
        stayed = -1 if value >= share else 1
        counts = 0.5 * counts if stayed == stays else 1.0
        stays = stayed


def of_normals(parts: Iterable[Part]) -> Estimate:
    """The quantiles of a mixture of normals. Raises ValueError where no part has weight."""
    merged = merge(parts)
    total = sum(p.weight for p in merged)
    low = min(p.mean - DEPTH_SD * p.sd for p in merged)
    high = max(p.mean + DEPTH_SD * p.sd for p in merged)

    def cdf(x: float) -> float:
        return sum(p.weight * _below(p, x) for p in merged) / total

    return of_cdf(cdf, low, high, (high - low) * 2e-5)


def _below(part: Part, x: float) -> float:
    if part.sd <= 0.0:
        return 1.0 if part.mean <= x else 0.0
    return normal_cdf((x - part.mean) / part.sd)


def merge(parts: Iterable[Part]) -> list[Part]:
    """The same mixture in at most 64 parts: neighbours share one that keeps their mean and variance."""
    some = [p for p in parts if p.weight > 0.0]
    if not some:
        raise ValueError("a mixture needs at least one part with weight")
    low = min(p.mean for p in some)
    width = (max(p.mean for p in some) - low) / BINS
    if width <= 0.0:
        return [_pooled(some)]
    bins: list[list[Part]] = [[] for _ in range(BINS)]
    for part in some:
        bins[min(BINS - 1, int((part.mean - low) / width))].append(part)
    return [_pooled(b) for b in bins if b]


def _pooled(parts: list[Part]) -> Part:
    weight = sum(p.weight for p in parts)
    mean = sum(p.weight * p.mean for p in parts) / weight
    square = sum(p.weight * (p.sd * p.sd + (p.mean - mean) ** 2) for p in parts) / weight
    return Part(weight, mean, sqrt(square))


def of_points(points: Iterable[tuple[float, float]]) -> Estimate:
    """The quantiles of weighted points `(value, weight)`, straight between the middles of their weights.

    Raises ValueError where no point has weight.
    """
    some = sorted((value, weight) for value, weight in points if weight > 0.0)
    if not some:
        raise ValueError("quantiles need at least one point with weight")
    total = sum(weight for _, weight in some)
    wanted = [share * total for share in SHARES]
    found: list[float] = []
    below, last_value, last_middle = 0.0, some[0][0], 0.0
    for value, weight in some:
        middle = below + 0.5 * weight
        while len(found) < 3 and middle >= wanted[len(found)]:
            part = (wanted[len(found)] - last_middle) / (middle - last_middle)
            found.append(last_value + part * (value - last_value))
        below, last_value, last_middle = below + weight, value, middle
    found.extend([last_value] * (3 - len(found)))
    return ordered(*found)
