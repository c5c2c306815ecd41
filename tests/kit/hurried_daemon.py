"""`naupliad` with clocks that run ten times as fast: `python -m tests.kit.hurried_daemon WORDS`.

For tests that see a real process live through several beats: five seconds of its are half a second of theirs.
It is the daemon itself but for its clock. What waits by another one (a server, the end of a thread) takes as
long as ever.
"""

import os
import threading
import time
from pathlib import Path

from daemon.clock import WallClock

PACE = 10
_FROM = "HURRIED_FROM"  # outlives a process that begins itself anew


def hurried_from(folder: Path) -> dict[str, str]:
    """What to tell it: all that are begun in a folder share their clock, as one machine's do."""
    began = folder / "hurried-from"
    if not began.exists():
        began.write_text(repr(time.time()), encoding="ascii")
    return {_FROM: began.read_text(encoding="ascii")}


class HurriedClock(WallClock):
    """The machine's clocks, each ahead by nine times what has passed since the first beginning."""

    def __init__(self) -> None:
        super().__init__()
        self._began = float(os.environ[_FROM])

    def _ahead_s(self) -> float:
        return (PACE - 1) * (time.time() - self._began)

    def now_s(self) -> int:
        return int(time.time() + self._ahead_s())

    def monotonic_s(self) -> float:
        return super().monotonic_s() + self._ahead_s()

    def wait(self, until_monotonic_s: float, wake: threading.Event) -> bool:
        return not wake.wait(max(0.0, until_monotonic_s - self.monotonic_s()) / PACE)


if __name__ == "__main__":
    from daemon.cli import main
    from daemon.running import run

    run.WallClock = HurriedClock  # type: ignore[misc]
    main()
