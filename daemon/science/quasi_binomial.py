"""Shares of cups by a model: do treatments differ, and how a share falls or rises with a dose.

Quasi-binomial (Wedderburn 1974; McCullagh & Nelder, *Generalized Linear Models*, ch. 4 and 9) [M]: shares on
the logit scale, variance so many times the binomial's, and that many (the dispersion) read off how like cups
differ. The cup is the unit: the degrees of freedom are cups less what was fitted. The dispersion counts as 1
where cups look more alike than chance alone has it, for that is luck.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from math import exp, sqrt

from daemon.science.confidence_intervals import CONFIDENCE
from daemon.science.distributions import f_survival, student_t_quantile
from daemon.science.replicate_cups import Cup, deviance, dispersion
from daemon.science.valid_range import within

DosedCup = tuple[float, int, int]  # dose, hatched, of so many

_MOST_STEPS = 60
_NO_END = (
    30.0  # a logit beyond any count: the fit runs away, for none or all hatched on either side of a dose
)


@dataclass(frozen=True, slots=True)
class TreatmentsTest:
    """F and its degrees of freedom, its p, and by what the cups of a treatment differ (1: chance alone)."""

    f: float
    degrees: int
    within_degrees: int
    dispersion: float
    p: float


def treatments_test(treatments: Sequence[Sequence[Cup]]) -> TreatmentsTest:
    """Do treatments differ? Deviance between them, by degree of freedom and dispersion, against F.

    Two treatments or more, with two cups each on average. All cups alike: F 0, p 1.
    """
    between = within("treatments", len(treatments), 2, 1000) - 1
    inside, inside_degrees = deviance(treatments)
    all_of_it, _ = deviance([list(chain.from_iterable(treatments))])
    spread = max(1.0, dispersion(treatments))
    f = max(0.0, all_of_it - inside) / between / spread
    return TreatmentsTest(f, int(between), inside_degrees, spread, f_survival(f, between, inside_degrees))


@dataclass(frozen=True, slots=True)
class DoseSlope:
    """Change of the log odds of hatching by one unit of dose, with its 95 % interval."""

    per_unit: float
    low: float
    high: float
    dispersion: float
    degrees: int


def dose_slope(cups: Sequence[DosedCup], confidence: float = CONFIDENCE) -> DoseSlope | None:
    """The slope of a straight line through the logits, by Newton's method; Student's t with cups − 2 degrees.

    None where no line fits best: none or all hatched everywhere, or all on one side of a dose and none on the
    other. Three cups or more at two doses or more.
    """
    degrees = int(within("cups", len(cups), 3, 10_000)) - 2
    doses = [dose for dose, _, _ in cups]
    low, wide = min(doses), max(doses) - min(doses)
    within("doses, from lowest to highest", wide, 1e-9, 1e12)
    scaled = [((dose - low) / wide, y, n) for dose, y, n in cups]
    line = _fitted(scaled)
    if line is None:
        return None
    a, b = line
    shares = [(x, y, n, _share(a + b * x)) for x, y, n in scaled]
    pearson = sum((y - n * p) ** 2 / (n * p * (1.0 - p)) for _, y, n, p in shares)
    spread = max(1.0, pearson / degrees)
    s0, s1, s2 = _moments([(x, n * p * (1.0 - p)) for x, _, n, p in shares])
    error = sqrt(spread * s0 / (s0 * s2 - s1 * s1))
    reach = student_t_quantile((1.0 + within("confidence", confidence, 0.5, 0.9999)) / 2.0, degrees) * error
    return DoseSlope(b / wide, (b - reach) / wide, (b + reach) / wide, spread, degrees)


def _fitted(cups: Sequence[DosedCup]) -> tuple[float, float] | None:
    """Intercept and slope where the likelihood is highest; None where it has no highest point."""
    a = b = 0.0
    for _ in range(_MOST_STEPS):
        weights, ends = [], []
        for x, y, n in cups:
            p = _share(a + b * x)
            weights.append((x, n * p * (1.0 - p)))
            ends.append((x, y - n * p))
        s0, s1, s2 = _moments(weights)
        pull, turn = sum(end for _, end in ends), sum(x * end for x, end in ends)
        det = s0 * s2 - s1 * s1
        if det <= 1e-12 * s0 * s0 or s0 < 1e-9:
            return None
        # A step of more than two logits would overshoot where the curve is flat.
        step_a, step_b = (s2 * pull - s1 * turn) / det, (s0 * turn - s1 * pull) / det
        short = min(1.0, 2.0 / max(abs(step_a), abs(step_b), 1e-300))
        a, b = a + short * step_a, b + short * step_b
        if max(abs(a), abs(a + b)) > _NO_END:
            return None
        if max(abs(step_a), abs(step_b)) < 1e-11 * max(1.0, abs(a), abs(b)):
            return a, b
    return None


def _moments(weights: Sequence[tuple[float, float]]) -> tuple[float, float, float]:
    return sum(w for _, w in weights), sum(w * x for x, w in weights), sum(w * x * x for x, w in weights)


def _share(logit: float) -> float:
    return 1.0 / (1.0 + exp(-logit))
