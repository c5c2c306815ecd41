"""A light probe read with its lamp off and on, and what the two come to."""

from collections.abc import Callable, Sequence

from daemon.commissioning.machine import Machine
from daemon.commissioning.probes import calibration
from daemon.commissioning.probes.distrust import distrust
from daemon.commissioning.probes.look import PatientProbe
from daemon.errors import NaupliadError
from daemon.station import ProbePlan
from sensors.reading import Measure

AGAIN = "Was the lamp really off, and then on? Move the probe closer to the light, and read again."


def fits_light(plan: ProbePlan) -> bool:
    """Whether a lamp can be seen by it."""
    return plan.driver in ("mcp3008", "photocell") or (
        plan.driver == "iio" and plan.measures is Measure.LIGHT_LUX
    )


def read_light(
    plan: ProbePlan, probe: PatientProbe, machine: Machine, ended: Callable[[], bool] = lambda: False
) -> list[float]:
    """The readings, after the cell has settled; those that there are where it was `ended` before.

    Raises NaupliadError when half of them are not good.
    """
    machine.sleep(calibration.LAMP_SETTLE_S)
    readings = []
    for _ in range(calibration.LAMP_READINGS):
        machine.sleep(calibration.LAMP_EVERY_S)
        if ended():
            break
        readings.append(probe.read(int(machine.now())))
    bad = [reading for reading in readings if not reading.good]
    if bad and 2 * len(bad) >= len(readings):
        found = distrust(plan, bad[-1], machine.roots)
        raise NaupliadError(
            f'probe "{plan.id}": {len(bad)} of {len(readings)} readings were not good: '
            f"{found.why if found else ''}. {found.remedy if found else ''}"
        )
    return [reading.value for reading in readings if reading.good and reading.value is not None]


def lamp_verdict(plan: ProbePlan, off: Sequence[float], on: Sequence[float]) -> calibration.LightVerdict:
    """What the readings with the lamp off and with it on say together."""
    in_lux = plan.measures is Measure.LIGHT_LUX
    return (calibration.lamp_limit if in_lux else calibration.lamp_scale)(off, on)
