"""From a station's plans to open probes: the drivers of `sensors`, tapes, and the simulated room."""

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path

from daemon.play.rehearsal import rehearsal_probes
from daemon.play.tape import Tape, TapeProbe, read_tape
from daemon.station import ProbePlan, Station
from sensors.reading import Probe
from sensors.workshop import Roots, open_probe


def openers(station: Station, now: int, roots: Roots | None = None) -> dict[str, Callable[[], Probe]]:
    """How each probe is opened, by its id and in the file's order; `now` is when a simulated room begins.

    An opener raises SensorError for as long as something is missing. Raises InputError at once for a tape or
    a story that cannot be read.
    """
    rehearsed: dict[str, Probe] = {probe.id: probe for probe in rehearsal_probes(station, now)}
    tapes = {
        path: read_tape(Path(path), station)
        for path in {plan.keys["file"] for plan in station.probes if plan.driver == "tape"}
    }
    return {plan.id: partial(_open, plan, rehearsed, tapes, roots or Roots()) for plan in station.probes}


def _open(plan: ProbePlan, rehearsed: Mapping[str, Probe], tapes: Mapping[str, Tape], roots: Roots) -> Probe:
    if plan.id in rehearsed:
        return rehearsed[plan.id]
    if plan.driver == "tape":
        return TapeProbe(plan.id, plan.measures, tapes[plan.keys["file"]])
    return open_probe(plan.id, plan.measures, plan.driver, plan.keys, roots=roots)
