"""What an entry of the care log changed in what is believed, before and after it."""

from collections.abc import Mapping, Sequence
from math import inf

from daemon.estimates.horizons import HATCH_HORIZON_S
from daemon.estimates.quantile import Estimate
from daemon.seconds import HOUR_S

# What each deed may change that is worth saying, what comes first is said first.
_TOLD: Mapping[str, tuple[str, ...]] = {
    "set": ("hatch_t50",),
    **dict.fromkeys(("first-swimmer", "hatched", "count"), ("hatch_t50", "hatched_fraction")),
    "top-up": ("loss_ml_per_day", "loss_ml"),
    "brine": ("salinity_g_per_kg", "loss_ml"),
    **dict.fromkeys(("remove", "harvest"), ("loss_ml",)),
    "cover": ("loss_ml_per_day",),
    "salinity": ("salinity_g_per_kg", "loss_ml"),
}
# To what a quantity is said: a change of less is none.
_ROUNDED_TO: Mapping[str, float] = {
    "hatch_t50": HOUR_S / 2,
    "hatched_fraction": 0.01,
    "loss_ml": 1.0,
    "loss_ml_per_day": 1.0,
    "salinity_g_per_kg": 0.1,
}

Estimates = Mapping[str, Estimate]
Numbers = Mapping[str, float | None]
Change = dict[str, dict[str, Numbers | None]]


def deed_change(deeds: Sequence[str], before: Estimates, after: Estimates, at: int) -> Change:
    """The changed quantities that these deeds are about, in the order to say them; `at` is now, Unix seconds.

    `before` is empty where there was nothing, or another batch. Each quantity has `before` (None then) and
    `after`, with p10, p50 and p90 in its unit; a moment of the hatch later than can be told is None.
    """
    told = dict.fromkeys(quantity for deed in deeds for quantity in _TOLD.get(deed, ()))
    changes: Change = {}
    for quantity in told:
        if quantity not in after:
            continue
        then = None if quantity not in before else _numbers(quantity, before[quantity], at)
        now = _numbers(quantity, after[quantity], at)
        if then is None or _differ(quantity, then, now):
            changes[quantity] = {"before": then, "after": now}
    return changes


def _numbers(quantity: str, estimate: Estimate, at: int) -> Numbers:
    latest = at + HATCH_HORIZON_S - HOUR_S if quantity == "hatch_t50" else inf
    ends = {"p10": estimate.p10, "p50": estimate.p50, "p90": estimate.p90}
    return {name: end if end < latest else None for name, end in ends.items()}


def _differ(quantity: str, before: Numbers, after: Numbers) -> bool:
    """Whether an end of what is believed moved by more than it is rounded to."""
    return any(_moved(before[end], after[end]) > _ROUNDED_TO[quantity] for end in ("p10", "p90"))


def _moved(before: float | None, after: float | None) -> float:
    if before is None or after is None:
        return 0.0 if before is after else inf
    return abs(after - before)
