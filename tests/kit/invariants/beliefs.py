"""N and O. Beliefs are possible and move only where something happened; a probe in the air is told of."""

from collections.abc import Iterator
from itertools import pairwise

from daemon.station import Vessel
from tests.kit.invariants.calendar import in_hours
from tests.kit.invariants.finding import Finding
from tests.kit.invariants.record import Record
from tests.kit.invariants.rows import Belief

HOUR_S, DAY_S = 3600, 86_400
_SHARES = ("hatched_fraction",)
_LOOKS = ("hatched", "first-swimmer", "count")
# Beliefs below these are too small to be a contradiction: mL as a share of the mark, g/kg, share hatched.
_SMALL = {"loss_ml": 0.02, "salinity_g_per_kg": 1.0, "hatched_fraction": 0.1}
# Water that stands in its vessel is not this close to the room for hours, with a lamp lit over it.
_NOISE_K, _LIT_H, _MOVES_K, _TOLD_WITHIN_S = 0.25, 6, 1.0, DAY_S


def _where(record: Record, vessel: str, quantity: str, belief: Belief) -> str:
    return f"belief {quantity} of {vessel} at {record.local(belief.at):%a %d %b %H:%M}"


def beliefs_are_possible(record: Record) -> Iterator[Finding]:
    """Ordered; salt not below zero, shares from 0 to 1, the level between dry and the rim."""
    for vessel_id, quantity, rows in record.beliefs():
        vessel = record.vessel(vessel_id)
        for row in rows if vessel else ():
            wrong = _impossible(vessel, quantity, row) if vessel else None
            if wrong:
                says = f"{row.p10:.4g} / {row.p50:.4g} / {row.p90:.4g}"
                yield Finding(_where(record, vessel_id, quantity, row), says, wrong)
                break  # the first of a row of the same is enough


def _impossible(vessel: Vessel, quantity: str, row: Belief) -> str | None:
    if not row.p10 <= row.p50 <= row.p90:
        return "they are not in order"
    if quantity == "salinity_g_per_kg" and row.p10 < 0:
        return "salt is not below zero"
    if quantity in _SHARES and not (row.p10 >= 0 and row.p90 <= 1):
        return "a share lies between 0 and 1"
    if quantity == "loss_ml" and row.p50 > vessel.mark_ml:
        return f"only {vessel.mark_ml:g} mL can be gone"
    rim_ml = vessel.rim_above_water_cm * vessel.surface_cm2
    if quantity == "loss_ml" and -row.p50 > rim_ml * 1.02 + 1:
        return f"the rim is {rim_ml:.0f} mL above the mark"
    return None


def beliefs_move_only_where_something_happened(record: Record) -> Iterator[Finding]:
    """No middle leaves its own width within an hour without a deed, a float's word or an outage."""
    for vessel_id, quantity, rows in record.beliefs():
        vessel = record.vessel(vessel_id)
        if quantity not in _SMALL or vessel is None:
            continue
        small = _SMALL[quantity] * (vessel.mark_ml if quantity == "loss_ml" else 1.0)
        for before, after in pairwise(rows):
            width = max(before.p90 - before.p10, after.p90 - after.p10, small)
            moved = abs(after.p50 - before.p50)
            if (
                after.at - before.at <= HOUR_S
                and moved > width
                and not _happened(record, vessel, before, after)
            ):
                says = f"{before.p50:.3g}, then {after.p50:.3g}"
                yield Finding(
                    _where(record, vessel_id, quantity, after), says, "nothing was told or read between"
                )
                break


def _happened(record: Record, vessel: Vessel, before: Belief, after: Belief) -> bool:
    # A deed is taken in at a beat, and the row just before it is of that beat, too.
    span = range(before.at - HOUR_S, after.at + record.station.sample_every_s + 1)
    for one in record.deeds:
        times = (one.at, one.recorded_at, one.withdrawn_at)
        # What was seen of a batch says something of others of the same tin.
        of_it = one.vessel == vessel.id or one.deed in _LOOKS
        if of_it and any(at is not None and at in span for at in times):
            return True
    if any(began in span or ended in span for began, ended in record.outages):
        return True
    for probe in vessel.probes:
        plan = record.station.probe(probe)
        if plan is not None and plan.measures.value == "float_low":
            read = [value for _, value in record.probes[probe].between(before.at - HOUR_S, after.at)]
            if len({*read}) > 1:
                return True
    return False


def a_probe_in_the_air_is_told_of(record: Record) -> Iterator[Finding]:
    """Water equal to the room for six lit hours: within a day a doubt, or readings that are not believed."""
    for vessel in record.station.vessels:
        water, room = record.water_of(vessel), record.room_of(vessel)
        if water is None or room is None or not vessel.lamp or getattr(vessel, "heater_c", None):
            continue
        began = _in_air_since(record, vessel)
        plan = next(p for p in vessel.probes if record.probes[p] is water)
        until = None if began is None else began + _TOLD_WITHIN_S
        if began is None or until is None or until > record.ended:
            continue
        doubted = any(began - DAY_S <= at <= until and probe == plan for at, probe in record.doubts)
        marked = any(began <= at <= until and quality != "good" for at, _, quality in water.rows)
        if not doubted and not marked:
            yield Finding(
                f"probe {plan}",
                "nothing of it",
                f"it follows the room from {record.local(began):%a %d %b %H:%M} on",
            )


def _in_air_since(record: Record, vessel: Vessel) -> int | None:
    """When six lit hours began in which the water was the room's air, within noise; None where never.

    That tells where the lamp was seen to warm this water before, or where the room moved and the water did
    not lag. Before a batch is set the vessel may well be empty.
    """
    water, room, light = record.water_of(vessel), record.room_of(vessel), record.light_of(vessel)
    assert water is not None
    assert room is not None
    began, lit_s, last_at, warmed = 0, 0, 0, False
    room_c: list[float] = []
    for at, value in water.good:
        air = room.last(at)
        above_k = value - air[1] if air is not None and at - air[0] <= HOUR_S // 2 else None
        hours = _has_hours(record, vessel, at)
        warmed = warmed or (hours and above_k is not None and above_k >= _MOVES_K)
        alike = above_k is not None and abs(above_k) <= _NOISE_K
        if not alike or at - last_at > HOUR_S or record.set_at(vessel.id, at) is None:
            began, lit_s, room_c = at, 0, []
        else:
            lit = light[0].last(at) if light else None
            lit_s += (at - last_at) if hours and (not light or (lit and lit[1] >= light[1])) else 0
        last_at = at
        room_c += [air[1]] if air else []
        moved = max(room_c, default=0.0) - min(room_c, default=0.0) >= _MOVES_K
        if lit_s >= _LIT_H * HOUR_S and (warmed or moved):
            return began
    return None


def _has_hours(record: Record, vessel: Vessel, at: int) -> bool:
    return any(in_hours(hours, record.local(at)) for hours in vessel.lamp)
