"""Questions back about an odd entry of the care log: it is kept all the same, for odd things happen."""

from collections.abc import Sequence
from datetime import datetime, tzinfo

from daemon.care.deed import Deed
from daemon.care.measured_salinity import measured_salinity
from daemon.seconds import HOUR_S

_LATE_S = 12 * HOUR_S  # what was done this long ago is usually a day that was mistyped [P]
# Breaking takes 12 to 20 h (FAO Fisheries Technical Paper 428); in the warmest cup not half of that.
_EARLIEST_SWIMMER_S = 6 * HOUR_S
_LOOKS = frozenset({"first-swimmer", "hatched", "count"})
# These are told where no batch runs, too.
_NEEDS_NO_BATCH = frozenset({"set", "note"})
# Sea water and brines for the hatch, as a glass hydrometer shows them: nobody means g/kg by such a figure.
_GRAVITIES = (0.98, 1.06)
_SWIMMERS = ("first-swimmer", "hatched", "count", "harvest", "feed")


def questions(deed: Deed, recorded_at: int, earlier: Sequence[Deed], zone: tzinfo) -> list[str]:
    """What to ask about an entry, a sentence or two each, without its id; empty where nothing is odd.

    `earlier` are the deeds of its vessel that stand, in any order; `recorded_at` (Unix seconds) is when the
    entry was recorded. Amounts are asked about in `vessel_limits`.
    """
    before = [one for one in earlier if one.at < deed.at]
    found = (
        _day(deed, recorded_at, zone),
        _second_set(deed, before, zone),
        _too_soon(deed, before, zone),
        _no_batch(deed, before, zone),
        _gravity_for_salinity(deed),
    )
    return [question for question in found if question is not None]


def measured_far_off(deed: Deed, believed: tuple[float, float] | None) -> str | None:
    """What to ask about a salinity (g/kg) far outside the range that was believed before it was recorded."""
    if deed.deed != "salinity" or deed.amount is None or believed is None:
        return None
    low, high = believed
    margin = max(4.0, high - low)  # twice the error of a classroom hydrometer, and some [P]
    seen = measured_salinity(deed).g_per_kg
    if low - margin <= seen <= high + margin:
        return None
    measured = f"{deed.amount:g}" if deed.unit == "g_per_kg" else f"{seen:.0f} ({deed.amount:g} {deed.unit})"
    return (
        f"By the entries so far {deed.vessel} has {low:.0f} to {high:.0f} g of salt in a kg of brine, and "
        f"{measured} was measured. Rinse the instrument, measure once more and write that down too. Or was "
        "brine poured in that nobody wrote down?"
    )


def brine_not_water(deed: Deed, drawn_ml: float, bears_ml: float, left_g_per_kg: float) -> str | None:
    """What to ask about plain water in the place of brine that was drawn off since it was last filled, mL.

    Of plain water it bears so many mL; so much salt would be left."""
    poured_ml = deed.amount or 0.0
    if deed.deed != "top-up" or drawn_ml < 0.5 or poured_ml <= max(0.5, bears_ml):
        return None
    return (
        f"{drawn_ml:.0f} mL of brine were drawn off: was it brine? Plain water leaves about "
        f"{left_g_per_kg:.0f} g of salt in a kg of brine."
    )


def scale_not_given(deed: Deed) -> str | None:
    """What to ask about a specific gravity of which a temperature was not given."""
    missing = [key for key in ("water_c", "scale_c") if deed.number(key) is None]
    if deed.unit != "sg" or deed.detail.get("with") == "refractometer" or not missing:
        return None
    return (
        f"A hydrometer's reading says more with {' and '.join(missing)}: the temperature of the water, and "
        "that printed on the scale. 25 °C is taken for what is not given. Is that right?"
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


def _no_batch(deed: Deed, before: Sequence[Deed], zone: tzinfo) -> str | None:
    batches = [one for one in before if one.deed in ("set", "end")]
    last = max(batches, key=lambda one: one.at, default=None)
    if deed.deed in _NEEDS_NO_BATCH or (last is not None and last.deed == "set"):
        return None
    so = "the look says nothing" if deed.deed in _LOOKS else "nothing is reckoned from it"
    when = _when(deed.at, zone)
    return f"No batch ran in {deed.vessel} on {when}, so {so}. Is the vessel right, and the time?"


def _gravity_for_salinity(deed: Deed) -> str | None:
    low, high = _GRAVITIES
    if deed.deed != "salinity" or deed.unit != "g_per_kg" or not low <= (deed.amount or 0.0) <= high:
        return None
    return (
        f"{deed.amount:g} g of salt in a kg of brine is next to none. Was it the specific gravity that a "
        f"hydrometer shows, {deed.amount:g} sg?"
    )


def _when(at: int, zone: tzinfo) -> str:
    return datetime.fromtimestamp(at, zone).strftime("%a %d %b at %H:%M")
