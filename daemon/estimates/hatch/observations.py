"""What people see in a cup, and how likely they would see it with a given share of the hatchable out.

Every look may be wrong altogether (the wrong cup, the wrong thing), so no likelihood is ever zero.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import exp, hypot, log

from daemon.care.deed import Deed
from daemon.estimates.quantile import normal_cdf
from daemon.science.strains import CYSTS_LN_SD, CYSTS_PER_G
from daemon.seconds import DAY_S

# "First swimmer": somebody sees the first animals when one or two in a hundred are out [P]. Who was there
# all along would speak of a hatch and not of the first with a quarter out; who comes in the morning
# records what is there.
FIRST_SHARE, FIRST_LN_SD = 0.015, 0.8
NO_LONGER_FIRST, JUST_CAME = 0.25, 0.12
FIRST_WRONG = 0.001
# A share judged by eye: how far off, and how often of the wrong
# thing (three in a hundred, over any share alike: a hundredth of the peak); it may be meant of all cysts
# instead of those that can hatch [P].
LOOK_SD, LOOK_WRONG, OF_ALL = 0.12, 0.01, 0.15
# Deeds done at the cup say that somebody stood there. Who counts or judges has looked; see `looking`.
LOOKED = frozenset({"first-swimmer", "hatched", "count"})
STOOD_THERE = frozenset({"top-up", "brine", "remove", "cover", "stir", "feed", "salinity", "harvest"})
# Replicate cups scatter more than their numbers say: dispersion 1.862 (Crowder 1978, in the handbook [R]).
DISPERSION = 1.862
COUNT_WRONG = 0.001
COUNTS_TELL_S = 4 * DAY_S  # what is counted later says how many live, not how many hatched [P]
# Less than this on a scale that shows grams or tenths is a pinch, a third to three times what is recorded
# (handbook [P]). An aliquot is not mixed.
PINCH_BELOW_G, PINCH_LN_SD, WEIGHED_LN_SD = 0.2, 0.86, 0.1
ALIQUOT_LN_SD = 0.35


def noticed(share: float) -> float:
    """How likely somebody who looks sees swimmers, with `share` of the hatchable out."""
    return normal_cdf((log(share) - log(FIRST_SHARE)) / FIRST_LN_SD) if share > 0.0 else 0.0


def first_seen(shares: Sequence[float], unseen: Sequence[float]) -> float:
    """The first swimmers are seen with the last of `shares` out; the first was out at the last sure look.

    `unseen` is by step between the shares: how likely nobody looked since what came out in it.
    """
    now = shares[-1]
    still_first = 1.0 / (1.0 + (now / NO_LONGER_FIRST) ** 4)
    found, before = 0.0, noticed(shares[0])
    for share, chance in zip(shares[1:], unseen, strict=True):
        after = noticed(share)
        found += chance * max(0.0, after - before)
        before = after
    return FIRST_WRONG + found * (JUST_CAME + (1.0 - JUST_CAME) * still_first)


def judged(seen: float, share: float, hatchable: Sequence[tuple[float, float]]) -> float:
    """Somebody judged the share hatched by eye; `hatchable` is what is believed of that, by weight."""
    of_these = _near(seen, share)
    of_all = sum(weight * _near(seen, share * h) for h, weight in hatchable)
    found = (1.0 - OF_ALL) * of_these + OF_ALL * of_all
    if seen == 0.0:  # a look that saw none: little is out, and who looks for one sees it
        found *= 1.0 - 0.5 * noticed(share)
    return LOOK_WRONG + found


def _near(seen: float, share: float) -> float:
    z = (seen - share) / LOOK_SD
    return exp(-0.5 * z * z)


@dataclass(frozen=True, slots=True)
class Dish:
    """What a batch was set with: grams of cysts and mL of brine, None where not given."""

    grams: float | None
    volume_ml: float | None


def counted(deed: Deed, dish: Dish, after_s: int) -> Callable[[float], float] | None:
    """How likely a count is, by the share of all cysts that has hatched; None where it cannot say."""
    if deed.amount is None or after_s > COUNTS_TELL_S:
        return None
    animals, aliquot_ml = deed.amount, deed.number("volume_ml")
    of_cysts = deed.number("of_cysts")
    part = _part(aliquot_ml, dish)
    if of_cysts is not None and of_cysts >= 1.0 and aliquot_ml is None:
        return count_of_counted(animals, of_cysts)
    if part is not None and of_cysts is not None:
        return _of_guessed(animals, of_cysts * part, ALIQUOT_LN_SD)
    if part is None or not dish.grams:
        return CountOfAny(animals > 0.0)
    rough = PINCH_LN_SD if dish.grams < PINCH_BELOW_G else WEIGHED_LN_SD
    expected = dish.grams * CYSTS_PER_G * part
    return _of_guessed(animals, expected, hypot(rough, CYSTS_LN_SD, ALIQUOT_LN_SD))


def _part(aliquot_ml: float | None, dish: Dish) -> float | None:
    if not aliquot_ml or not dish.volume_ml:
        return None
    return min(1.0, aliquot_ml / dish.volume_ml)


def count_of_counted(animals: float, cysts: float) -> "CountOfCounted":
    """A count where so many cysts had been counted out before."""
    out = min(animals, cysts)
    return CountOfCounted(out, cysts - out, _log_binomial(out, cysts - out, out / cysts))


@dataclass(frozen=True, slots=True)
class CountOfCounted:
    """How well a share fits a count of `out` animals, and `rest` cysts beside them.

    Binomial, its logarithm divided by the dispersion; `best` is that of the share which fits best.
    """

    out: float
    rest: float
    best: float

    def __call__(self, share: float) -> float:
        """The fit of a share."""
        return COUNT_WRONG + exp((_log_binomial(self.out, self.rest, share) - self.best) / DISPERSION)


def _log_binomial(out: float, rest: float, share: float) -> float:
    held = min(1.0 - 1e-6, max(1e-6, share))
    return out * log(held) + rest * log(1.0 - held)


def _of_guessed(animals: float, cysts: float, ln_sd: float) -> "CountOfGuessed":
    return CountOfGuessed(animals, cysts, hypot(ln_sd, (DISPERSION / (animals + 0.5)) ** 0.5))


@dataclass(frozen=True, slots=True)
class CountOfGuessed:
    """How well a share fits a count where the number of cysts is known to a factor only.

    `ln_sd` is of that and of the count's own scatter.
    """

    animals: float
    cysts: float
    ln_sd: float

    def __call__(self, share: float) -> float:
        """The fit of a share."""
        z = (log(self.animals + 0.5) - log(self.cysts * share + 0.5)) / self.ln_sd
        return COUNT_WRONG + exp(-0.5 * z * z)


@dataclass(frozen=True, slots=True)
class CountOfAny:
    """How well a share fits where nothing is known of what they were counted from: some, or none."""

    some: bool

    def __call__(self, share: float) -> float:
        """The fit of a share."""
        seen = noticed(share)
        return COUNT_WRONG + (seen if self.some else 1.0 - seen)
