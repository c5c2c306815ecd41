"""Reading every probe of a station once, and saying whether to trust it."""

import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from daemon.commissioning.machine import Machine
from daemon.commissioning.probes.distrust import Distrust, distrust
from daemon.commissioning.probes.probe_history import NO_HISTORY, ProbeHistory
from daemon.station import ProbePlan
from sensors.attached_devices import OneWireFacts, one_wire_facts
from sensors.errors import NotFitted, SensorError
from sensors.probe_bench import PatientBench
from sensors.reading import Probe, Quality, Reading

# Before its first conversion a genuine probe holds 85 °C (data sheet), some copies 25 °C
# (github.com/cpetrich/counterfeit_DS18B20, family D).
_COPIES_HOLD_C = 25.0
_ANOTHER_K = 0.5
# Only one program at a time can hold a pin; buses are shared.
_PINS = frozenset({"float", "photocell"})
_STEADY = "a converter that is not there reads 0 or 1 too: cover the cell and read again; it must change"
_PARASITE = (
    "powered through its data wire (two wires): some copies cannot do that, long cables fail; connect the red"
    " wire to 3.3 V too"
)
_OTHER_NUMBER = (
    "its number has not the pattern of genuine parts (28-0000…): many copies measure well, so check it in ice"
    " water once"
)


@dataclass(frozen=True, slots=True)
class Look:
    """One probe, looked at: its reading, how long it took, and why not to trust it (None: nothing is wrong).

    `notes` are for information; they take nothing from the trust.
    """

    plan: ProbePlan
    reading: Reading
    took_s: float
    distrust: Distrust | None
    notes: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """For programs."""
        return {
            "probe": self.plan.id,
            "driver": self.plan.driver,
            "measures": self.plan.measures.value,
            "value": self.reading.value,
            "quality": self.reading.quality.value,
            "took_s": round(self.took_s, 3),
            "trusted": self.distrust is None,
            "why": self.distrust.why if self.distrust else "",
            "do": self.distrust.remedy if self.distrust else "",
            "notes": list(self.notes),
        }


class PatientProbe:
    """A probe read in a thread of its own, as the daemon does it; `close` lets go of it.

    After a read, `took_s` is how long it took, and `hangs` is whether the machine's patience ended it.
    """

    def __init__(self, probe: Probe, machine: Machine) -> None:
        """Take the probe over."""
        self.hangs = False
        self.took_s = 0.0
        self._machine = machine
        self._bench = PatientBench([probe], machine.patience_s, wait=self._wait)

    def read(self, at: int) -> Reading:
        """Read it for the moment `at`, Unix seconds; `absent` when it hangs."""
        began = self._machine.monotonic()
        (reading,) = self._bench.sample(at)
        self.took_s = self._machine.monotonic() - began
        return reading

    def close(self) -> None:
        """Let go of the probe; one that hangs is let go should it ever answer."""
        self._bench.close()

    def _wait(self, finished: threading.Event, patience_s: float) -> bool:
        came = finished.wait(patience_s)
        self.hangs = not came
        return came


def look(
    plans: Sequence[ProbePlan],
    opens: Mapping[str, Callable[[], Probe]],
    machine: Machine,
    history: ProbeHistory = NO_HISTORY,
) -> list[Look]:
    """Read each probe once; one that cannot be opened or hangs keeps none of the others.

    All are opened before the first is read, so that those of one bus convert together.
    """
    benches: dict[str, PatientProbe] = {}
    missing: dict[str, SensorError] = {}
    for plan in plans:
        try:
            benches[plan.id] = PatientProbe(opens[plan.id](), machine)
        except SensorError as error:
            missing[plan.id] = error
    try:
        return [
            _with_history(_look_at(plan, benches[plan.id], machine), history)
            if plan.id in benches
            else _not_opened(plan, missing[plan.id], machine, history)
            for plan in plans
        ]
    finally:
        for bench in benches.values():
            bench.close()


def _look_at(plan: ProbePlan, bench: PatientProbe, machine: Machine) -> Look:
    reading = bench.read(int(machine.now()))
    took_s = bench.took_s
    if bench.hangs:
        hangs = Distrust(f"it has not answered in {took_s:.0f} s", "Pull its plug and put it back.")
        return Look(plan, reading, took_s, hangs)
    notes: tuple[str, ...] = ()
    if plan.driver == "ds18b20" and reading.quality is not Quality.ABSENT:
        notes = _facts_noted(one_wire_facts(machine.roots.w1, str(plan.keys["address"])))
        if _held_from_power_on(plan, reading):
            first, reading = reading, bench.read(reading.at + 1)
            notes = (*notes, *_first_noted(first, reading))
    if plan.driver == "mcp3008" and reading.value in (0.0, 1.0) and "dark" not in plan.keys:
        notes = (_STEADY,)
    return Look(plan, reading, took_s, distrust(plan, reading, machine.roots), notes)


def _held_from_power_on(plan: ProbePlan, reading: Reading) -> bool:
    """Whether the value may be one that a probe holds before its first conversion; then it is read anew."""
    offset_c = float(plan.keys.get("offset_c", 0.0))
    is_copies = reading.value is not None and round(reading.value - offset_c, 4) == _COPIES_HOLD_C
    return reading.quality is Quality.RESET or is_copies


def _first_noted(first: Reading, second: Reading) -> tuple[str, ...]:
    if first.value is None or second.value is None or abs(second.value - first.value) < _ANOTHER_K:
        return ()
    means = "it has just got its power, or loses it at times"
    if first.quality is not Quality.RESET:
        means = "some copies begin with 25; check it in ice water once"
    return (f"the first reading was {first.value:.2f} °C, the next {second.value:.2f} °C: {means}",)


def _facts_noted(facts: OneWireFacts) -> tuple[str, ...]:
    """What the kernel says of a DS18B20, in words."""
    notes = []
    if facts.resolution_bits is not None:
        notes.append(f"{facts.resolution_bits} bit: steps of {facts.step_c:g} °C")
    if facts.parasite:
        notes.append(_PARASITE)
    if not facts.genuine_number:
        notes.append(_OTHER_NUMBER)
    return tuple(notes)


def _not_opened(plan: ProbePlan, error: SensorError, machine: Machine, history: ProbeHistory) -> Look:
    """What is missing; where the daemon holds the pin, its own reading is shown instead."""
    at = int(machine.now())
    if history.daemon_runs and plan.driver in _PINS and isinstance(error, NotFitted):
        reading = history.newest.get(plan.id)
        if reading is None:
            stop = "Stop the daemon first: sudo systemctl stop naupliad."
            return Look(plan, _no_reading(plan, at), 0.0, Distrust("the running daemon holds its pin", stop))
        holds = (
            f"the running daemon holds its pin: this is the daemon's reading of {history.clock(reading.at)}"
        )
        return Look(plan, reading, 0.0, distrust(plan, reading, machine.roots), (holds,))
    return Look(plan, _no_reading(plan, at), 0.0, Distrust(error.account, error.remedy))


def _with_history(looked: Look, history: ProbeHistory) -> Look:
    """A reading that is good by itself is not trusted while the daemon, which knows its course, does not."""
    judged = history.judgement(looked.plan.id)
    doubt = history.doubts.get(looked.plan.id)
    if doubt is not None:
        looked = replace(looked, notes=(*looked.notes, f"the daemon is in doubt: {doubt}"))
    if judged is None or looked.distrust is not None:
        return looked
    reading = replace(looked.reading, quality=judged.quality)
    return replace(looked, reading=reading, distrust=judged.distrust)


def _no_reading(plan: ProbePlan, at: int) -> Reading:
    return Reading(at, plan.id, None, Quality.ABSENT)
