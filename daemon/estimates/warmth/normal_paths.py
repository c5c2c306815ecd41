"""Fixed sets of standard normal paths that spread a forecast out: no chance in it, always the same.

At each hour the 47 paths stand near the middles of 47 equal shares of the normal, in an order that changes
from hour to hour; a part of each is its own for all hours, the rest fades in some hours.
"""

from array import array
from collections.abc import Sequence
from functools import cache
from math import exp, sqrt

from daemon.science.normal import quantile

PATHS = 47  # a prime, so that multiples of an order are orders
HOURS_MOST = 8 * 24
_SHARES = tuple((path + 0.5) / PATHS for path in range(PATHS))
_ALL = tuple(map(quantile, _SHARES))


def _ordered(values: Sequence[float], number: int) -> tuple[float, ...]:
    """The values, one a path, in an order by a number; different numbers hardly correlate."""
    factor = 1 + (number * number + 7 * number + 3) % (PATHS - 1)
    return tuple(values[(path * factor + 13 * number) % PATHS] for path in range(PATHS))


@cache
def order(number: int) -> tuple[float, ...]:
    """The normal's middles in an order by a number."""
    return _ordered(_ALL, number)


@cache
def shares(number: int) -> tuple[float, ...]:
    """The middles of equal shares from 0 to 1 in an order by a number."""
    return _ordered(_SHARES, number)


@cache
def by_hour(first: int, own_share: float, fades_h: float) -> tuple[Sequence[float], ...]:
    """For each hour ahead, each path's value: `own_share` of the variance is a path's own for all hours.

    `first` tells the orders apart: two sets with different ones hardly correlate.
    """
    own, passing, keep = order(first), order(first + 1), exp(-1.0 / fades_h)
    found = []
    for hour in range(HOURS_MOST):
        if hour:
            fresh = _ordered(_ALL, first + 1 + hour)  # asked for this once
            passing = tuple(
                keep * p + sqrt(1.0 - keep * keep) * f for p, f in zip(passing, fresh, strict=True)
            )
        both = zip(own, passing, strict=True)
        # An array, not a tuple of floats: these are 9000 numbers a set, kept for as long as the daemon runs.
        found.append(array("d", (sqrt(own_share) * o + sqrt(1.0 - own_share) * p for o, p in both)))
    return tuple(found)
