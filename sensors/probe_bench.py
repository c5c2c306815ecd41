"""The probes of a station, read together: in turn, or with patience for those that hang."""

import logging
import signal
import threading
from collections.abc import Callable, Sequence
from queue import SimpleQueue

from sensors.reading import Probe, Quality, Reading

_log = logging.getLogger(__name__)


class InlineBench:
    """Reads all probes in turn, in the caller's thread: for probes that cannot hang."""

    def __init__(self, probes: Sequence[Probe]) -> None:
        self._probes = tuple(probes)

    def sample(self, at: int) -> Sequence[Reading]:
        """One reading a probe, in their order."""
        return [probe.read(at) for probe in self._probes]

    def close(self) -> None:
        """Let go of every probe."""
        for probe in self._probes:
            probe.close()


class PatientBench:
    """Reads the probes of each driver in a thread of its own and waits `patience_s` for all of them.

    A probe that has not answered by then is `absent`. While a thread hangs its probes stay `absent` and
    get no further reads; what it brings home late is thrown away. Patience must cover the slowest
    driver on a good day: a DS18B20 takes up to 0.8 s, and twice that after a broken check sum.
    `wait` waits for an event on the monotonic clock and says whether it came.
    """

    def __init__(
        self,
        probes: Sequence[Probe],
        patience_s: float,
        *,
        wait: Callable[[threading.Event, float], bool] = threading.Event.wait,
    ) -> None:
        self._probes = tuple(probes)
        self._patience_s = patience_s
        self._wait = wait
        drivers = dict.fromkeys(type(probe) for probe in probes)
        self._lanes = [_Lane([p for p in probes if type(p) is driver]) for driver in drivers]

    def sample(self, at: int) -> Sequence[Reading]:
        """One reading a probe, in their order, after the patience at the latest."""
        free = [lane for lane in self._lanes if lane.idle]
        beat = _Beat(at, len(free))
        for lane in free:
            lane.begin(beat)
        if free:
            self._wait(beat.finished, self._patience_s)
        readings = beat.end()
        return [readings.get(p.id, Reading(at, p.id, None, Quality.ABSENT)) for p in self._probes]

    def close(self) -> None:
        """Let go of every probe; those of a thread that hangs are let go should it ever return."""
        for lane in self._lanes:
            lane.close(self._patience_s)


class _Beat:
    """What the threads bring home for one beat, until it ends."""

    def __init__(self, at: int, lanes: int) -> None:
        self.at = at
        self.finished = threading.Event()
        self._lanes_out = lanes
        self._readings: dict[str, Reading] | None = {}
        self._lock = threading.Lock()

    @property
    def over(self) -> bool:
        return self._readings is None

    def take(self, reading: Reading) -> None:
        with self._lock:
            if self._readings is not None:
                self._readings[reading.probe] = reading

    def lane_is_home(self) -> None:
        with self._lock:
            self._lanes_out -= 1
            all_home = self._lanes_out == 0
        if all_home:
            self.finished.set()

    def end(self) -> dict[str, Reading]:
        with self._lock:
            readings, self._readings = self._readings or {}, None
            return readings


class _Lane:
    """One thread that reads the probes of one driver; they share a bus, and hang together."""

    def __init__(self, probes: Sequence[Probe]) -> None:
        self.idle = True
        self._probes = probes
        self._beats: SimpleQueue[_Beat | None] = SimpleQueue()
        name = f"probes-{type(probes[0]).__name__.lower()}"
        self._thread = threading.Thread(target=self._work, name=name, daemon=True)
        self._thread.start()

    def begin(self, beat: _Beat) -> None:
        self.idle = False
        self._beats.put(beat)

    def close(self, patience_s: float) -> None:
        self._beats.put(None)
        if self.idle:
            self._thread.join(patience_s)

    def _work(self) -> None:
        # A signal would cut the kernel's wait for a conversion short and empty the reading.
        signal.pthread_sigmask(signal.SIG_BLOCK, signal.valid_signals())
        while (beat := self._beats.get()) is not None:
            for probe in self._probes:
                if not beat.over:
                    beat.take(_read(probe, beat.at))
            self.idle = True  # before the beat can end, or the next one would find the lane busy
            beat.lane_is_home()
        for probe in self._probes:
            _close(probe)


def _read(probe: Probe, at: int) -> Reading:
    """The probe's reading; one that breaks its promise not to raise must not end the thread."""
    try:
        return probe.read(at)
    except Exception:
        _log.exception("probe %s raised", probe.id)
        return Reading(at, probe.id, None, Quality.ABSENT)


def _close(probe: Probe) -> None:
    try:
        probe.close()
    except Exception:
        _log.exception("probe %s would not close", probe.id)
