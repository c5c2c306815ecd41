"""Wall time and monotonic time, handed in: one clock that runs and one that plays."""

import threading
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Protocol

_TIME_SERVICE = Path("/run/systemd/timesync")


class Clock(Protocol):
    """What the daemon knows of time."""

    def now_s(self) -> int:
        """Wall time in whole Unix seconds, UTC."""

    def monotonic_s(self) -> float:
        """Seconds that never step."""

    def trusted(self) -> bool:
        """Whether the wall time is known to be right, as far as the machine can tell."""

    def wait(self, until_monotonic_s: float, wake: threading.Event) -> bool:
        """Wait for the moment or for `wake`; True when the moment has come."""


class WallClock:
    """The machine's own clocks."""

    def now_s(self) -> int:
        """Wall time in whole Unix seconds, UTC."""
        return int(time.time())

    def monotonic_s(self) -> float:
        """The kernel's monotonic clock."""
        return time.monotonic()

    def trusted(self) -> bool:
        """Whether systemd's time service, where there is one, has set the clock since the start."""
        return not _TIME_SERVICE.is_dir() or (_TIME_SERVICE / "synchronized").exists()

    def wait(self, until_monotonic_s: float, wake: threading.Event) -> bool:
        """Wait for the moment or for `wake`, whichever is first."""
        return not wake.wait(max(0.0, until_monotonic_s - time.monotonic()))


class PlayedClock:
    """A clock that jumps to every moment waited for, and over stretches when the station was off."""

    def __init__(self, began: int, off: Sequence[tuple[int, int]] = ()) -> None:
        """Start at `began`, Unix seconds; `off` are stretches (began, ended) to jump over, in time order."""
        self._origin = began
        self._now = began
        self._off = tuple(off)

    def now_s(self) -> int:
        """The played wall time."""
        return self._now

    def monotonic_s(self) -> float:
        """Seconds since the play began."""
        return float(self._now - self._origin)

    def trusted(self) -> bool:
        """Played time is right by definition."""
        return True

    def wait(self, until_monotonic_s: float, wake: threading.Event) -> bool:
        """Be there at once; a moment inside an off stretch comes when the station is on again."""
        wake.clear()
        moment = self._origin + round(until_monotonic_s)
        self._now = next((ended for began, ended in self._off if began < moment < ended), moment)
        return True
