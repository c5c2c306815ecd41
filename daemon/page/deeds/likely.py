"""What most likely was done, filled into a form before anybody has said it."""

from collections.abc import Callable, Mapping

from daemon.care.deed import Deed
from daemon.care.log import format_number
from daemon.care.vessel_limits import usual_dose_g
from daemon.letters.seen import animals_seen
from daemon.page.glance import Glance
from daemon.station import Vessel
from daemon.store import deeds as deed_store
from reports.letters.feeding import FeedDue, portion_g
from reports.letters.harvest import likely_drawn_ml
from reports.page.doing.choices import Choice
from reports.records import VesselNight


def likely(glance: Glance, choice: Choice) -> dict[str, str]:
    """The values of a choice's fields, by name, at a glance at one vessel; nothing where nobody can know."""
    find = _FOUND.get(choice.key)
    (vessel,), (night,) = glance.station.vessels, glance.record.vessels
    return {} if find is None else dict(find(glance, vessel, night))


def of_deed(deed: Deed) -> dict[str, str]:
    """The values of an entry that stands; its amount with the unit, where the log's own would be another."""
    amount = "" if deed.amount is None else format_number(deed.amount)
    said = {
        name: value if isinstance(value, str) else format_number(value) for name, value in deed.detail.items()
    }
    return {"amount": f"{amount} {deed.other_unit or ''}".strip(), **said}


def _fill(_glance: Glance, _vessel: Vessel, night: VesselNight) -> Mapping[str, str]:
    """What a letter would ask for; else what is believed to be missing, where that is something."""
    missing_ml = night.fill_ml or (night.loss_ml[-1].range.p50 if night.loss_ml else 0.0)
    return {"amount": _rounded(missing_ml)} if missing_ml >= 1.0 else {}


def _feed(glance: Glance, vessel: Vessel, night: VesselNight) -> Mapping[str, str]:
    missing_ml = night.loss_ml[-1].range.p50 if night.loss_ml else 0.0
    seen = animals_seen(
        [deed for deed in deed_store.between(glance.connection, 0, glance.at) if deed.vessel == vessel.id]
    )
    return {"amount": portion_g(FeedDue(vessel.id, vessel.count, vessel.mark_ml - missing_ml, seen))}


def _harvest(_glance: Glance, vessel: Vessel, _night: VesselNight) -> Mapping[str, str]:
    return {"amount": _rounded(likely_drawn_ml(vessel.mark_ml))}


def _brine(_glance: Glance, _vessel: Vessel, night: VesselNight) -> Mapping[str, str]:
    if night.brine is None:
        return {}
    return {"amount": _rounded(night.brine.ml), "salt_g_per_l": _rounded(night.brine.salt_g_per_l)}


def _refill(glance: Glance, vessel: Vessel, night: VesselNight) -> Mapping[str, str]:
    """The brine that is due; where none is, how much is missing to the mark."""
    return _brine(glance, vessel, night) or _fill(glance, vessel, night)


def _set(glance: Glance, vessel: Vessel, _night: VesselNight) -> Mapping[str, str]:
    """Tin and salt as the last batch of the station had them: it mostly is one recipe."""
    dose_g = usual_dose_g(vessel)
    sets = [deed for deed in deed_store.between(glance.connection, 0, glance.at) if deed.deed == "set"]
    kept = {"lot", "salt_g_per_l"}
    last = {name: value for name, value in of_deed(sets[-1]).items() if name in kept} if sets else {}
    return (
        last if dose_g is None else {"amount": format_number(round(dose_g, 3 if dose_g < 1.0 else 1)), **last}
    )


def _rounded(amount: float) -> str:
    return format_number(round(amount, 0 if amount >= 10.0 else 1))


_FOUND: Mapping[str, Callable[[Glance, Vessel, VesselNight], Mapping[str, str]]] = {
    "fill": _fill,
    "feed": _feed,
    "harvest": _harvest,
    "refill": _refill,
    "brine": _brine,
    "set": _set,
}
