"""The words `attached` and `read-probe`: what is plugged in, read now, and whether to trust it."""

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, NoReturn

from daemon.commissioning.machine import Machine
from daemon.commissioning.probes.look import Look, look
from daemon.commissioning.probes.probe_history import history_in
from daemon.commissioning.probes.unnamed_probe import unnamed_probes
from daemon.errors import InputError
from daemon.inbox.line import INBOX
from daemon.input.file import shown
from daemon.requests.request_words import text
from daemon.setting_up.place import SetUpPlace
from daemon.station import ProbePlan
from sensors.attached_devices import attached_devices, strangers
from sensors.drivers import DRIVERS, key_faults
from sensors.errors import NotFitted
from sensors.probe_opening import open_probe
from sensors.reading import Measure, Probe

# Two programs, or twice one, cannot hold these; the running daemon does.
_HELD_BY = {"float": ("pin",), "photocell": ("pin",)}
_THE_DAEMONS = "held by the daemon"


def attached(place: SetUpPlace, machine: Machine) -> dict[str, Any]:
    """Every device that the kernel shows, read now: those that the followed file names, by its names."""
    devices = attached_devices(machine.roots)
    plans = place.followed.probes if place.followed else ()
    named = [
        plan
        for plan in plans
        if any(device.is_named_by(plan.driver, plan.measures, plan.keys) for device in devices)
    ]
    others = [device.plan for device in unnamed_probes(devices, plans)]
    looks = _looks([*named, *others], place, machine)
    return {
        "probes": [
            {**_entry(seen), "id": seen.plan.id, "named": place_in < len(named)}
            for place_in, seen in enumerate(looks)
        ],
        "strangers": [{"name": one.name, "account": one.account} for one in strangers(machine.roots)],
    }


def read_probe(words: Mapping[str, Any], place: SetUpPlace, machine: Machine) -> dict[str, Any]:
    """One probe, by its driver, what it measures and its keys. Raises InputError for what cannot be one."""
    plan = plan_of(words)
    known = next((known for known in held(place) if _same(known, plan)), plan)
    (seen,) = _looks([known], place, machine)
    return _entry(seen)


def plan_of(words: Mapping[str, Any]) -> ProbePlan:
    """The probe that a request tells of. Raises InputError with a line for every fault."""
    driver, told, keys = text(words, "driver"), text(words, "measures"), words.get("keys", {})
    if driver not in DRIVERS:
        raise InputError(f"request: driver: found {shown(driver)}; allowed: {', '.join(DRIVERS)}")
    measures = next((measure for measure in Measure if measure == told), None)
    if measures is None:
        raise InputError(f"request: measures: found {shown(told)}; allowed: {', '.join(Measure)}")
    if not isinstance(keys, dict):
        raise InputError(f"request: keys: found {shown(keys)}; allowed: a table")
    faults = key_faults(driver, measures, keys)
    if faults:
        raise InputError(
            *(f"request: {one.key}: found {shown(one.found)}; allowed: {one.allowed}" for one in faults)
        )
    return ProbePlan(text(words, "probe", "probe"), measures, driver, keys)


def _looks(plans: list[ProbePlan], place: SetUpPlace, machine: Machine) -> list[Look]:
    history = history_in(place.state, place.state / INBOX, int(machine.now()), place.followed)
    theirs = held(place)
    opens: dict[str, Callable[[], Probe]] = {
        plan.id: partial(_refuse, plan.id)
        if plan in theirs
        else partial(open_probe, plan.id, plan.measures, plan.driver, plan.keys, roots=machine.roots)
        for plan in plans
    }
    return look(plans, opens, machine, history)


def held(place: SetUpPlace) -> list[ProbePlan]:
    """The probes that nobody but the running daemon can read."""
    return [plan for plan in (place.followed.probes if place.followed else ()) if plan.driver in _HELD_BY]


def _same(one: ProbePlan, other: ProbePlan) -> bool:
    return one.driver == other.driver and all(
        one.keys.get(key) == other.keys.get(key) for key in _HELD_BY[one.driver]
    )


def _refuse(probe_id: str) -> NoReturn:
    raise NotFitted(probe_id, _THE_DAEMONS, "Wait for its next reading.")


def _entry(seen: Look) -> dict[str, Any]:
    told = seen.as_json()
    del told["probe"], told["took_s"]
    return {**told, "keys": dict(seen.plan.keys)}
