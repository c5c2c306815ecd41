"""A station's probes, opened by its plans: the drivers of `sensors`, tapes, and the simulated room."""

import logging
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path

from daemon.errors import InputError, NaupliadError
from daemon.station import ProbePlan, Station
from sensors.errors import SensorError
from sensors.probe_opening import LateProbe, Roots, open_probe
from sensors.reading import Measure, Probe

log = logging.getLogger(__name__)

_NO_FILE = (
    "probe {probe}: file: found nothing; allowed: the path of a tape, from the folder of the station file "
    "(only naupliad replay needs none)"
)


def openers(station: Station, now: int, roots: Roots | None = None) -> dict[str, Callable[[], Probe]]:
    """How each probe is opened, by its id and in the file's order; `now` is when a simulated room begins.

    An opener raises SensorError for as long as something is missing. Raises InputError at once for a tape or
    a story that cannot be read.
    """
    played = _played(station, now)
    return {plan.id: partial(_open, plan, played, roots or Roots()) for plan in station.probes}


def open_probes(station: Station, now: int, *, blind: bool) -> list[Probe]:
    """Every probe of the station; one that cannot be opened yet is a LateProbe, and is logged.

    Raises NaupliadError with a line for each when no water thermometer can be opened: a station that
    sees no water had better say so than run. One that ran before, and at whose start nobody looks on, is
    better `blind`: its letters say that it sees no water.
    """
    opens = openers(station, now)
    probes: list[Probe] = []
    missing: list[str] = []
    for plan in station.probes:
        try:
            probes.append(opens[plan.id]())
        except SensorError as error:
            missing.append(str(error))
            probes.append(LateProbe(plan.id, plan.measures, opens[plan.id]))
    if not blind and not any(map(_sees_water, probes)):
        for probe in probes:
            probe.close()
        raise NaupliadError("\n".join([*missing, "no water thermometer can be read, so nothing was started"]))
    for line in missing:
        log.error("%s Going on without it; it is tried again.", line)
    return probes


def _played(station: Station, now: int) -> dict[str, Probe]:
    """The probes of a simulated room or of tapes; what plays is loaded only where something does."""
    found: dict[str, Probe] = {}
    drivers = {plan.driver for plan in station.probes}
    if "rehearsal" in drivers:
        from daemon.play.story_world import rehearsal_probes

        found.update((probe.id, probe) for probe in rehearsal_probes(station, now))
    if "tape" in drivers:
        from daemon.play.tape import TapeProbe, read_tape

        plans = [plan for plan in station.probes if plan.driver == "tape"]
        if nameless := [plan.id for plan in plans if "file" not in plan.keys]:
            raise InputError(*(_NO_FILE.format(probe=probe) for probe in nameless))
        tapes = {path: read_tape(Path(path), station) for path in {plan.keys["file"] for plan in plans}}
        found.update((p.id, TapeProbe(p.id, p.measures, tapes[p.keys["file"]])) for p in plans)
    return found


def _open(plan: ProbePlan, played: Mapping[str, Probe], roots: Roots) -> Probe:
    if plan.id in played:
        return played[plan.id]
    return open_probe(plan.id, plan.measures, plan.driver, plan.keys, roots=roots)


def _sees_water(probe: Probe) -> bool:
    return probe.measures is Measure.WATER_C and not isinstance(probe, LateProbe)
