"""How well beliefs about played weekends held: shares, widths, errors. Test-only, pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import fmean, median

from tests.kit.other_physics import HOUR
from tests.kit.simple_rules import Guess
from tests.kit.weekends import LEAVES, Record

SETTLED = 0.01  # a hatch that belief and truth both have this near to none or all is no longer asked
LEVELS = (0.1, 0.5, 0.9)


@dataclass(frozen=True, slots=True)
class Quantity:
    """How one estimated quantity is shown: its name here and to people, the unit and what a unit is."""

    name: str
    title: str
    unit: str
    per_unit: float = 1.0


TIMED = frozenset({"low_mark_at", "hatch_t10", "hatch_t50", "hatch_t90"})
ASSERTED = (
    Quantity("loss_ml", "Water lost by now", "mL"),
    Quantity("salinity_g_per_kg", "Salinity now", "g/kg"),
    Quantity("low_mark_at", "When the water is low", "h", HOUR),
    Quantity("hatch_t50", "When half has hatched", "h", HOUR),
)
SHOWN = (
    Quantity("loss_ml_per_day", "Loss of the last day", "mL/d"),
    Quantity("hatch_t10", "When a tenth hatched", "h", HOUR),
    Quantity("hatch_t90", "When 9 in 10 hatched", "h", HOUR),
    Quantity("hatched_fraction", "Share hatched by now", "share"),
    Quantity("water_c_min_next_16h", "Coldest of the next 16 h", "°C"),
)
ON_FRIDAY = (
    Quantity("weekend_loss_ml", "Monday's level, on Friday", "mL"),
    Quantity("first_night_c_min", "Coldest of 16 h, on Friday", "°C"),
    Quantity("weekend_c_min", "Weekend's coldest", "°C"),
)
FAILED = Quantity("failed_c_min", "Coldest of 16 h, heating out", "°C")
QUANTITIES = ASSERTED + SHOWN + ON_FRIDAY


def of(records: Iterable[Record], quantity: str, top_ups: int, room_probe: bool) -> list[Record]:
    """The records of one quantity in one cell, without hatches that are over or have not begun."""
    return [
        r
        for r in records
        if (r.quantity, r.top_ups, r.room_probe) == (quantity, top_ups, room_probe) and not _settled(r)
    ]


def _settled(record: Record) -> bool:
    if record.quantity != "hatched_fraction":
        return False
    told = (record.believed.p10, record.believed.p90, record.truth)
    return max(told) < SETTLED or min(told) > 1.0 - SETTLED


def share_held(records: Sequence[Record], stretched: float = 1.0) -> float:
    """The share of ranges that hold the truth; `stretched` widens each about its median."""
    return sum(record.held(stretched) for record in records) / len(records)


def shares_below(records: Sequence[Record]) -> tuple[float, float, float]:
    """The share of truths below p10, p50 and p90: 0.1, 0.5, 0.9 if the quantiles are what they say."""
    low = sum(r.truth < r.believed.p10 - r.slack for r in records)
    middle = sum(r.truth < r.believed.p50 for r in records)
    high = sum(r.truth <= r.believed.p90 + r.slack for r in records)
    return low / len(records), middle / len(records), high / len(records)


def pinball(low_tenth: float, middle: float, high_tenth: float, truth: float) -> float:
    """Mean pinball loss of the three quantiles, in their unit: 0 at best (Gneiting & Raftery 2007 [M])."""
    told = zip(LEVELS, (low_tenth, middle, high_tenth), strict=True)
    return fmean(max(level * (truth - q), (level - 1.0) * (truth - q)) for level, q in told)


def score(records: Sequence[Record]) -> float:
    """Mean pinball loss of what was believed, in the quantity's unit."""
    return fmean(pinball(r.believed.p10, r.believed.p50, r.believed.p90, r.truth) for r in records)


def skill(records: Sequence[Record]) -> float | None:
    """1 less our score over that of the best simple rule; None where there is no rule.

    Every rule is given the range that it deserves: its middle is what it says, its ends lie where, in
    hindsight, a tenth of all these truths lay below and above. No person knows that range: what beats it is
    of use.
    """
    if not records or not records[0].rules:
        return None
    rules = zip(*(r.rules for r in records), strict=True)
    truths = [r.truth for r in records]
    return 1.0 - score(records) / min(_rule_score(rule, truths) for rule in rules)


def _rule_score(rule: Sequence[Guess], truths: Sequence[float]) -> float:
    off = sorted(_off(guess, truth) for guess, truth in zip(rule, truths, strict=True))
    low, high = off[len(off) // 10], off[len(off) - 1 - len(off) // 10]
    return fmean(
        pinball(min(guess.value, _at(guess, low)), guess.value, max(guess.value, _at(guess, high)), truth)
        for guess, truth in zip(rule, truths, strict=True)
    )


def _off(guess: Guess, truth: float) -> float:
    if guess.origin is None:
        return truth - guess.value
    return (truth - guess.origin) / max(1e-9, guess.value - guess.origin)


def _at(guess: Guess, off: float) -> float:
    return guess.value + off if guess.origin is None else guess.origin + off * (guess.value - guess.origin)


def width(records: Sequence[Record]) -> float:
    """Median p90 − p10, in the quantity's unit."""
    return median(record.width for record in records)


def relative_width(records: Sequence[Record]) -> float:
    """Median width over median truth; of times, over how far ahead (or back) they were asked."""
    timed = records[0].quantity in TIMED
    return width(records) / median(abs(r.truth - r.at) if timed else abs(r.truth) for r in records)


def middle_error(records: Sequence[Record]) -> float:
    """The median size of how far the middle was from the truth, in the quantity's unit."""
    return median(abs(r.believed.p50 - r.truth) for r in records)


def weekend_errors(records: Iterable[Record], top_ups: int, room_probe: bool) -> list[float]:
    """By weekend: the loss from Friday to Monday as forecast on Friday, over the true one, less 1."""
    found = []
    friday = {r.seed: r for r in of(records, "loss_ml", top_ups, room_probe) if r.at == LEAVES}
    for monday in of(records, "weekend_loss_ml", top_ups, room_probe):
        then = friday[monday.seed]
        lost = monday.truth - then.truth
        found.append((monday.believed.p50 - then.believed.p50) / lost - 1.0)
    return found


def typical_error(errors: Sequence[float]) -> float:
    """The median of their sizes."""
    return median(abs(error) for error in errors)
