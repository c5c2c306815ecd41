"""A probe as it reads by itself: without the corrections that a calibration looks for."""

from daemon.commissioning.machine import Machine
from daemon.commissioning.probes.look import PatientProbe
from daemon.station import ProbePlan
from sensors.probe_opening import open_probe

_CORRECTIONS = frozenset({"offset_c", "dark", "lit"})


def uncorrected(plan: ProbePlan, machine: Machine) -> PatientProbe:
    """The probe without its corrections; who asks closes it. Raises SensorError where it does not open."""
    keys = {key: value for key, value in plan.keys.items() if key not in _CORRECTIONS}
    return PatientProbe(open_probe(plan.id, plan.measures, plan.driver, keys, roots=machine.roots), machine)
