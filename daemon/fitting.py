"""From a station's plans to open probes: the drivers of `sensors`, tapes, and the simulated room."""

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path

from daemon.station import ProbePlan, Station
from sensors.reading import Probe
from sensors.workshop import Roots, open_probe


def openers(station: Station, now: int, roots: Roots | None = None) -> dict[str, Callable[[], Probe]]:
    """How each probe is opened, by its id and in the file's order; `now` is when a simulated room begins.

    An opener raises SensorError for as long as something is missing. Raises InputError at once for a tape or
    a story that cannot be read.
    """
    played = _played(station, now)
    return {plan.id: partial(_open, plan, played, roots or Roots()) for plan in station.probes}


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
        tapes = {path: read_tape(Path(path), station) for path in {plan.keys["file"] for plan in plans}}
        found.update((p.id, TapeProbe(p.id, p.measures, tapes[p.keys["file"]])) for p in plans)
    return found


def _open(plan: ProbePlan, played: Mapping[str, Probe], roots: Roots) -> Probe:
    if plan.id in played:
        return played[plan.id]
    return open_probe(plan.id, plan.measures, plan.driver, plan.keys, roots=roots)
