"""A thermometer in ice water, read until there is a verdict; and what to advise then."""

from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass

from daemon.commissioning.machine import Machine
from daemon.commissioning.probes.calibration import GENUINE_K, ICE_EVERY_S, IceBath, IceVerdict
from daemon.commissioning.probes.distrust import distrust
from daemon.commissioning.probes.uncorrected import uncorrected
from daemon.station import ProbePlan
from sensors.attached_devices import one_wire_facts
from sensors.reading import Measure, Reading

# Thermometers of other drivers do not say their step; a tenth is what most of them show [P].
_OTHER_STEP_C = 0.1


@dataclass(frozen=True, slots=True)
class IceEnd:
    """How a check ended: its verdict, the last reading, the correction that the probe has, and its step."""

    plan: ProbePlan
    verdict: IceVerdict
    last: Reading
    step_c: float

    @property
    def was_c(self) -> float:
        """The correction that it had before, °C."""
        return was_c(self.plan)

    @property
    def needs_change(self) -> bool:
        """Whether another correction came out than the one it has, by more than half a step."""
        offset_c = self.verdict.offset_c
        return offset_c is not None and abs(offset_c - self.was_c) > self.step_c / 2 + 1e-9


def was_c(plan: ProbePlan) -> float:
    """The correction that a plan tells of, °C."""
    return float(plan.keys.get("offset_c", 0.0))


def fits_water(plan: ProbePlan) -> bool:
    """A sensor of the room's air must never be put into water."""
    return plan.driver == "ds18b20" or (plan.driver in ("iio", "hwmon") and plan.measures is Measure.WATER_C)


def read_bath(
    plan: ProbePlan,
    machine: Machine,
    show: Callable[[float, Reading, IceBath], None],
    ended: Callable[[], bool] = lambda: False,
) -> IceEnd | None:
    """Read it every few seconds until there is a verdict; None where it was `ended` before.

    `show` is given the seconds gone by, each reading, and the bath. Raises SensorError where it does not
    open.
    """
    step_c = _step_c(plan, machine)
    bath, began = IceBath(step_c), machine.monotonic()
    with closing(uncorrected(plan, machine)) as probe:
        while not ended():
            reading = probe.read(int(machine.now()))
            after_s = machine.monotonic() - began
            verdict = bath.take(after_s, reading.value if reading.good else None)
            show(after_s, reading, bath)
            if verdict is not None:
                return IceEnd(plan, verdict, reading, step_c)
            machine.sleep(ICE_EVERY_S)
    return None


def remedy(end: IceEnd, machine: Machine) -> str:
    """What to do where the check gave no answer."""
    found = distrust(end.plan, end.last, machine.roots)
    if found is not None:
        return f"The last one: {found.why}. {found.remedy}"
    return (
        "Is its tip amid ice that still melts, stirred, without salt, away from the wall? Then do it again;"
        " if it stays so, do not trust this probe: replace it."
    )


def no_change(end: IceEnd) -> str:
    """That the correction it has is right."""
    return f"{end.plan.id} needs no change: its offset_c = {end.was_c:g} is right within half a step."


def cautions(offset_c: float) -> list[str]:
    """What to mind about a new correction."""
    lines = []
    if abs(offset_c) > GENUINE_K:
        lines.append(
            f"That is more than the {GENUINE_K:g} °C the data sheet allows. Make sure of the ice;"
            " if it is so, the probe may be a copy and wrong elsewhere too: replace it if you can."
        )
    lines.append("One point corrects best near it: compare it once at 25 °C with a thermometer you trust.")
    return lines


def _step_c(plan: ProbePlan, machine: Machine) -> float:
    if plan.driver != "ds18b20":
        return _OTHER_STEP_C
    return one_wire_facts(machine.roots.w1, str(plan.keys["address"])).step_c
