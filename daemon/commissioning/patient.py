"""One probe, read with patience: a device that hangs keeps nobody waiting for ever."""

import threading

from daemon.commissioning.machine import Machine
from sensors.probe_bench import PatientBench
from sensors.reading import Probe, Reading


class PatientProbe:
    """A probe read in a thread of its own, as the daemon does it; `close` lets go of it.

    After a read, `took_s` tells how long it took, and `hangs` whether the machine's patience ended it.
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
