"""Plain words for amounts of water: spoons, levels, losses.

Spoons and measuring cups are metric: 5 mL and 250 mL, common practice, no source.
"""

import math

from reports.numbers import between, not_known, number
from reports.records import Range
from reports.tongue import say, say_many

TEASPOON_ML = 5.0
MEASURING_CUP_ML = 250.0

# Above this many mL nobody counts teaspoons.
_SPOONS_UP_TO_ML = 75.0
_QUARTERS = {0: "", 1: "¼", 2: "½", 3: "¾"}


def volume(amount_ml: float) -> str:
    """ "32 mL"; under 10 mL with one decimal where it has one."""
    if not math.isfinite(amount_ml):
        return not_known()
    digits = 1 if abs(amount_ml) < 9.95 and round(amount_ml, 1) % 1 else 0
    return f"{number(amount_ml, digits)} mL"


def spoons(amount_ml: float) -> str:
    """ "about 6½ teaspoons"; above 75 mL in measuring cups of 250 mL."""
    if not math.isfinite(amount_ml):
        return not_known()
    if amount_ml > _SPOONS_UP_TO_ML:
        quarters = _quarters(amount_ml / MEASURING_CUP_ML, 1)
        return say_many(
            "about {number} measuring cup",
            "about {number} measuring cups",
            _grammar(quarters),
            number=_amount(quarters),
        )
    if amount_ml < TEASPOON_ML / 4:
        return say("a few drops")
    quarters = _quarters(amount_ml / TEASPOON_ML, 2)
    return say_many(
        "about {number} teaspoon", "about {number} teaspoons", _grammar(quarters), number=_amount(quarters)
    )


def _quarters(amount: float, coarsest: int) -> int:
    return max(round(amount * 4 / coarsest) * coarsest, coarsest)


def _grammar(quarters: int) -> int:
    """One for all up to one: "½ teaspoon", "1 teaspoon", "1½ teaspoons"."""
    return 1 if quarters <= 4 else max(quarters // 4, 2)


def _amount(quarters: int) -> str:
    whole, rest = divmod(quarters, 4)
    return number(whole) if whole > 999 else f"{whole or ''}{_QUARTERS[rest]}"


def volume_with_spoons(amount_ml: float) -> str:
    """ "32 mL (about 6½ teaspoons)"."""
    return f"{volume(amount_ml)} ({spoons(amount_ml)})" if math.isfinite(amount_ml) else not_known()


def level(loss_ml: float) -> str:
    """Where the water stands: "24 mL below the mark", "at the mark", "12 mL above the mark"."""
    if not math.isfinite(loss_ml):
        return not_known()
    if abs(loss_ml) < 0.5:
        return say("at the mark")
    if loss_ml > 0:
        return say("{amount} mL below the mark", amount=number(loss_ml))
    return say("{amount} mL above the mark", amount=number(-loss_ml))


def level_range(loss_ml: Range) -> str:
    """What is believed of the level; a range that crosses the mark names both sides."""
    low, likely, high = loss_ml.p10, loss_ml.p50, loss_ml.p90
    if not all(math.isfinite(value) for value in (low, likely, high)):
        return not_known()
    if number(low) == number(high):
        return say("about {value}", value=level(likely)) if abs(likely) >= 0.5 else level(likely)
    if abs(low) >= 0.5 and abs(high) >= 0.5 and (low > 0) == (high > 0):
        return _one_side(loss_ml)
    return say(
        "between {low} and {high}, most likely {likely}",
        low=level(low),
        high=level(high),
        likely=level(likely),
    )


def _one_side(loss_ml: Range) -> str:
    near, far = sorted((abs(loss_ml.p10), abs(loss_ml.p90)))
    ends = {"near": number(near), "far": number(far), "likely": number(abs(loss_ml.p50))}
    if loss_ml.p10 > 0:
        return say("between {near} and {far} mL below the mark, most likely {likely} mL", **ends)
    return say("between {near} and {far} mL above the mark, most likely {likely} mL", **ends)


def loss_range(amount_ml: Range) -> str:
    """ "between 7 and 28 mL a day, most likely 16 mL a day"."""
    return between(
        [number(value) for value in (amount_ml.p10, amount_ml.p50, amount_ml.p90)], say("mL a day")
    )
