"""Did a thermometer follow the lamp as water does? What is left to say where no room is read.

A bare capsule has taken up a lamp's warmth in ten minutes. Water begins at once, too, but has taken up less
than half of it after twenty minutes, and goes on for hours.
"""

from collections.abc import Callable, Sequence
from itertools import pairwise

from sensors.trust.room_lag import Sample

_WATCHED_S = 5400
_EARLY_S = 1200
_AROUND_S = 300
_EARLY_SHARES = (0.1, 0.5)  # of what came in an hour and a half
_BEFORE_SHARE = 0.3  # of the early share: a room that was warming already is no lamp
_LEAST_K = 1.0


def lamp_moved_slowly(calm: Sequence[Sample], lit: Callable[[int], bool] | None) -> bool:
    """Whether samples without any quick change went on warming, or cooling, long after the lamp turned."""
    if lit is None:
        return False
    turned = [later.at for sooner, later in pairwise(calm) if lit(sooner.at) is not lit(later.at)]
    if not turned or calm[-1].at - turned[-1] < _WATCHED_S:
        return False
    moments = (-_EARLY_S, -_AROUND_S, _EARLY_S, _WATCHED_S - _AROUND_S)
    values = [_about_c(calm, turned[-1] + moment) for moment in moments]
    known = [value for value in values if value is not None]
    if len(known) < len(moments):
        return False
    before_c, start_c, early_c, end_c = known
    side = 1.0 if lit(turned[-1]) else -1.0
    whole_k, early_k = side * (end_c - start_c), side * (early_c - start_c)
    least_k, most_k = (share * whole_k for share in _EARLY_SHARES)
    was_still = abs(start_c - before_c) <= _BEFORE_SHARE * early_k
    return whole_k >= _LEAST_K and least_k <= early_k <= most_k and was_still


def _about_c(samples: Sequence[Sample], at: int) -> float | None:
    """The mean of ten minutes about a moment; None where nothing was read in them."""
    about = [s.water_c for s in samples if abs(s.at - at) <= _AROUND_S]
    return sum(about) / len(about) if about else None
