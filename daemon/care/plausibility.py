"""Questions back about an odd entry of the care log: it is kept all the same, for odd things happen."""

from collections.abc import Sequence
from datetime import datetime, tzinfo

from daemon.care.deed import Deed
from daemon.seconds import HOUR_S

_LATE_S = 12 * HOUR_S  # what was done this long ago is usually a day that was mistyped [P]
# Breaking takes 12 to 20 h (FAO Fisheries Technical Paper 428); in the warmest cup not half of that.
_EARLIEST_SWIMMER_S = 6 * HOUR_S
# Up to 5 g/L in vessels under 20 L (FAO Fisheries Technical Paper 428).
_DENSEST_G_PER_L = 5.0
_SWIMMERS = ("first-swimmer", "hatched", "count", "harvest", "feed")


def questions(
    deed: Deed, recorded_at: int, earlier: Sequence[Deed], mark_ml: float, zone: tzinfo
) -> list[str]:
    """What to ask about an entry, a sentence or two each, without its id; empty where nothing is odd.

    `earlier` are the deeds of its vessel that stand, in any order; `mark_ml` is the volume of one cup at the
    mark, `recorded_at` (Unix seconds) when the entry was recorded.
    """
    before = [one for one in earlier if one.at < deed.at]
    found = (
        _day(deed, recorded_at, zone),
        _second_set(deed, before, zone),
        _dense(deed, mark_ml),
        _too_soon(deed, before, zone),
        _too_much(deed, mark_ml),
    )
    return [question for question in found if question is not None]


def measured_far_off(deed: Deed, believed: tuple[float, float] | None) -> str | None:
    """What to ask about a salinity (g/kg) far outside the range that was believed before it was recorded."""
    if deed.deed != "salinity" or deed.amount is None or believed is None:
        return None
    low, high = believed
    margin = max(4.0, high - low)  # twice the error of a classroom hydrometer, and some [P]
    if low - margin <= deed.amount <= high + margin:
        return None
    return (
        f"By the entries so far {deed.vessel} has {low:.0f} to {high:.0f} g/kg of salt, and {deed.amount:g} "
        "was measured. Rinse the instrument, measure once more and tell that too; or was brine poured in "
        "that nobody told of?"
    )


def _day(deed: Deed, recorded_at: int, zone: tzinfo) -> str | None:
    if deed.deed != "set" or recorded_at - deed.at <= _LATE_S:
        return None
    hours = round((recorded_at - deed.at) / HOUR_S)
    return f"The cysts are in the water since {_when(deed.at, zone)}, {hours} hours ago. Is the day right?"


def _second_set(deed: Deed, before: Sequence[Deed], zone: tzinfo) -> str | None:
    batches = [one for one in before if one.deed in ("set", "end")]
    last = max(batches, key=lambda one: one.at, default=None)
    if deed.deed != "set" or last is None or last.deed == "end":
        return None
    return (
        f"A batch runs in {deed.vessel} already, set {_when(last.at, zone)}, and it was not ended. It counts "
        "as ended now. Was that meant?"
    )


def _dense(deed: Deed, mark_ml: float) -> str | None:
    if deed.deed != "set" or deed.amount is None:
        return None
    volume_ml = deed.number("volume_ml") or mark_ml
    most_g = _DENSEST_G_PER_L * volume_ml / 1000
    if deed.amount <= most_g:
        return None
    return (
        f"{deed.amount:g} g of cysts in {volume_ml:g} mL is more than they have air for; up to {most_g:g} g "
        "is usual. The amount is of one cup, in grams. Is it right?"
    )


def _too_soon(deed: Deed, before: Sequence[Deed], zone: tzinfo) -> str | None:
    batches = [one for one in before if one.deed in ("set", "end")]
    last = max(batches, key=lambda one: one.at, default=None)
    nothing_seen = deed.deed in ("hatched", "count") and not deed.amount
    if deed.deed not in _SWIMMERS or nothing_seen or last is None or last.deed == "end":
        return None
    if deed.at - last.at >= _EARLIEST_SWIMMER_S:
        return None
    return (
        f"The batch in {deed.vessel} was set {_when(last.at, zone)}; nothing swims before some twelve hours "
        "are over. Is the vessel right, and the time?"
    )


def _too_much(deed: Deed, mark_ml: float) -> str | None:
    if deed.deed not in ("top-up", "brine") or deed.amount is None or deed.amount <= mark_ml:
        return None
    return f"{deed.amount:g} mL is more than a cup of {mark_ml:g} mL. The amount is of one cup. Is it right?"


def _when(at: int, zone: tzinfo) -> str:
    return datetime.fromtimestamp(at, zone).strftime("%a %d %b at %H:%M")
