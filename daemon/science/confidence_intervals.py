"""How sure a count is: intervals for shares and for numbers of animals.

All are two-sided, 95 % unless another confidence is given. They hold for one well-mixed cup: between cups
there is more, see `replicate_cups`.
"""

from math import sqrt

from daemon.science.distributions import MOST_PARAMETER, beta_quantile, gamma_quantile
from daemon.science.normal import quantile
from daemon.science.valid_range import within

Interval = tuple[float, float]

CONFIDENCE = 0.95
MOST_COUNT = int(MOST_PARAMETER) - 1


def wilson(hits: int, of: int, confidence: float = CONFIDENCE) -> Interval:
    """Score interval of a share by Wilson 1927 (method 3 of Newcombe 1998, Stat. Med. 17:857) [M].

    81 of 263 gives 0.2553–0.3662, 0 of 20 gives 0–0.1611.
    """
    _counts(hits, of)
    z = quantile(_upper(confidence))
    share, weight = hits / of, z * z / of
    middle = share + weight / 2.0
    reach = z * sqrt(share * (1.0 - share) / of + weight / (4.0 * of))
    # At 0 and at all the ends are exactly 0 and 1; the formula meets them but for rounding.
    low = 0.0 if hits == 0 else (middle - reach) / (1.0 + weight)
    return low, 1.0 if hits == of else (middle + reach) / (1.0 + weight)


def clopper_pearson(hits: int, of: int, confidence: float = CONFIDENCE) -> Interval:
    """Exact interval of a share by Clopper & Pearson 1934 [M]: never covers too little, often too much.

    15 of 148 gives 0.0578–0.1617.
    """
    _counts(hits, of)
    tail = 1.0 - _upper(confidence)
    low = beta_quantile(tail, hits, of - hits + 1) if hits else 0.0
    high = beta_quantile(1.0 - tail, hits + 1, of - hits) if hits < of else 1.0
    return low, high


def poisson_exact(count: int, confidence: float = CONFIDENCE) -> Interval:
    """Exact interval of an expected count by Garwood 1936 [M]; 10 gives 4.795–18.390."""
    within("count", count, 0, MOST_COUNT)
    tail = 1.0 - _upper(confidence)
    return (gamma_quantile(tail, count) if count else 0.0), gamma_quantile(1.0 - tail, count + 1)


def difference_of_shares(
    hits: int, of: int, other_hits: int, other_of: int, confidence: float = CONFIDENCE
) -> Interval:
    """Interval of the first share less the second, independent samples.

    Hybrid score interval, method 10 of Newcombe 1998 (Stat. Med. 17:873) [M]: 56/70 against
    48/80 gives 0.0524–0.3339.
    """
    (low, high), share = wilson(hits, of, confidence), hits / of
    (other_low, other_high), other = wilson(other_hits, other_of, confidence), other_hits / other_of
    below = sqrt((share - low) ** 2 + (other_high - other) ** 2)
    above = sqrt((high - share) ** 2 + (other - other_low) ** 2)
    return share - other - below, share - other + above


def _upper(confidence: float) -> float:
    return (1.0 + within("confidence", confidence, 0.5, 0.9999)) / 2.0


def _counts(hits: int, of: int) -> None:
    within("sample", of, 1, MOST_COUNT)
    within("hits", hits, 0, of)
