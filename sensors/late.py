"""A probe whose bus or device is not there yet: absent until it can be opened."""

from collections.abc import Callable

from sensors.errors import SensorError
from sensors.reading import Measure, Probe, Quality, Reading

# After a power cut a driver may come up minutes after the daemon; asking more often gains nothing.
_TRY_AGAIN_S = 300


class LateProbe:
    """Stands for a probe that could not be opened, and opens it when it can be."""

    def __init__(self, probe_id: str, measures: Measure, opens: Callable[[], Probe]) -> None:
        """`opens` raises SensorError for as long as something is missing."""
        self._id = probe_id
        self._measures = measures
        self._opens = opens
        self._probe: Probe | None = None
        self._tried_at: int | None = None

    @property
    def id(self) -> str:
        """The name the station file gives it."""
        return self._id

    @property
    def measures(self) -> Measure:
        """What it measures."""
        return self._measures

    def read(self, at: int) -> Reading:
        """The probe's reading once it is open, `absent` before; it is tried anew every five minutes."""
        if self._probe is None and (self._tried_at is None or abs(at - self._tried_at) >= _TRY_AGAIN_S):
            self._tried_at = at
            try:
                self._probe = self._opens()
            except SensorError:
                self._probe = None
        if self._probe is None:
            return Reading(at, self._id, None, Quality.ABSENT)
        return self._probe.read(at)

    def close(self) -> None:
        """Let go of the probe if it was opened."""
        if self._probe is not None:
            self._probe.close()
