"""What a deed changed, in one line: what is believed now, and what was before it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from reports import amounts, times
from reports.language import in_its_language, say, to_say
from reports.records import Range, TimeRange

_SENTENCES = {
    "hatched_fraction": to_say("Hatched so far: {after}, was {before}."),
    "loss_ml_per_day": to_say("Evaporates {after}, was {before}."),
    "loss_ml": to_say("The water stands {after}, was {before}."),
    "salinity_g_per_kg": to_say("Salt in a kg of brine: {after}, was {before}."),
}
_AT_THE_MARK_ML = 0.5  # as `amounts.level` has it


@dataclass(frozen=True, slots=True)
class DeedChange:
    """What is believed at `now`, after a deed, and what was before it; only what changed is given.

    `half` is when half of the hatch is out, with None first where nothing was believed before; `ranges` are
    by the quantity's name, in the order to say them.
    """

    language: str
    now: datetime
    half: tuple[TimeRange | None, TimeRange] | None = None
    ranges: Mapping[str, tuple[Range, Range]] = field(default_factory=dict)


@in_its_language
def change_line(change: DeedChange) -> str | None:
    """The line, or None where nothing changed. Of a hatch its hour, or once that is past its share."""
    half = change.half
    if half is not None and not ("hatched_fraction" in change.ranges and _is_past(half[1], change.now)):
        return _half(change.now, *half)
    said = [
        say(_SENTENCES[name], after=_span(name, after), before=_span(name, before))
        for name, (before, after) in change.ranges.items()
    ]
    return " ".join(said) if said else None


def _is_past(half: TimeRange, now: datetime) -> bool:
    return half.p90 is not None and half.p90.timestamp() <= now.timestamp()


def _half(now: datetime, before: TimeRange | None, after: TimeRange) -> str:
    expected = times.short_range(after, now)
    if before is None:
        return say("Half expected {when}.", when=expected)
    was = times.short_range(before, now)
    return say("Half now expected {when}, was {before}.", when=expected, before=was)


def _span(name: str, believed: Range) -> str:
    match name:
        case "hatched_fraction":
            return _between(believed.p10 * 100.0, believed.p90 * 100.0, "%")
        case "loss_ml_per_day":
            return _between(believed.p10, believed.p90, say("mL a day"))
        case "salinity_g_per_kg":
            return _between(believed.p10, believed.p90, "g", 1)
        case _:
            return _level(believed)


def _between(low: float, high: float, unit: str, digits: int = 0) -> str:
    first, last = amounts.number(low, digits), amounts.number(high, digits)
    return f"{last} {unit}" if first == last else say("{low} to {high}", low=first, high=f"{last} {unit}")


def _level(loss_ml: Range) -> str:
    near, far = sorted((loss_ml.p10, loss_ml.p90), key=abs)
    if amounts.level(near) == amounts.level(far):
        return amounts.level(far)
    if abs(near) >= _AT_THE_MARK_ML and (near > 0.0) == (far > 0.0):
        return say("{low} to {high}", low=amounts.number(abs(near)), high=amounts.level(far))
    return say("{low} to {high}", low=amounts.level(loss_ml.p10), high=amounts.level(loss_ml.p90))
