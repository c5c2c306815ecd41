"""Wall time and monotonic time, handed in: one clock that runs and one that plays."""

import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import floor
from pathlib import Path
from typing import Protocol

from daemon.clock_keeper import Keeper, kept_by, kernel_in_step

_BOOT = "proc/sys/kernel/random/boot_id"


class Clock(Protocol):
    """What the daemon knows of time."""

    def now_s(self) -> int:
        """Wall time in whole Unix seconds, UTC."""

    def monotonic_s(self) -> float:
        """Seconds that never step."""

    def keeper(self) -> Keeper:
        """Who says that the wall time is right; a time service that has said so once has said so for good."""

    def boot(self) -> str:
        """A name for the machine's present start: monotonic time counts from it."""

    def wait(self, until_monotonic_s: float, wake: threading.Event) -> bool:
        """Wait for the moment or for `wake`; True when the moment has come."""


class WallClock:
    """The machine's own clocks."""

    def __init__(self, root: Path = Path("/"), kernel: Callable[[], bool | None] = kernel_in_step) -> None:
        """`root` is where the machine's files begin; `kernel` answers for `kernel_in_step`."""
        self._root = root
        self._kernel = kernel
        self._set = False

    def now_s(self) -> int:
        """Wall time in whole Unix seconds, UTC."""
        return int(time.time())

    def monotonic_s(self) -> float:
        """The kernel's clock since the machine's start: what it slept through counts, and is no step."""
        return time.clock_gettime(time.CLOCK_BOOTTIME)

    def keeper(self) -> Keeper:
        """As `timekeeping` finds it; the network's word is kept when it can be reached no more."""
        if self._set:
            return Keeper.NETWORK
        keeper = kept_by(self._root, self.now_s(), self._kernel)
        self._set = keeper is Keeper.NETWORK
        return keeper

    def boot(self) -> str:
        """The kernel's name for this start."""
        try:
            return (self._root / _BOOT).read_text(encoding="ascii").strip()
        except OSError:
            return f"started {round(time.time() - time.monotonic())}"

    def wait(self, until_monotonic_s: float, wake: threading.Event) -> bool:
        """Wait for the moment or for `wake`, whichever is first."""
        return not wake.wait(max(0.0, until_monotonic_s - self.monotonic_s()))


@dataclass(frozen=True, slots=True)
class Wrong:
    """A stretch of true time, Unix seconds, in which a played clock is wrong by `by_s` and nobody says."""

    began: int
    ended: int
    by_s: int


class PlayedClock:
    """A clock that jumps to every moment waited for, and over stretches when the station was off."""

    def __init__(self, began: int, off: Sequence[tuple[int, int]] = (), wrong: Sequence[Wrong] = ()) -> None:
        """Start at `began`, Unix seconds; `off` are stretches (began, ended) to jump over, in time order."""
        self._origin = began
        self._now = began
        self._off = tuple(off)
        self._wrong = tuple(wrong)

    def now_s(self) -> int:
        """The played wall time."""
        wrong = self._wrong_now()
        return self._now + (wrong.by_s if wrong else 0)

    def true_s(self) -> int:
        """The time it truly is in the played world."""
        return self._now

    def monotonic_s(self) -> float:
        """Seconds since the play began."""
        return float(self._now - self._origin)

    def keeper(self) -> Keeper:
        """Played time is right by definition, but where a story has it wrong."""
        return Keeper.NOBODY if self._wrong_now() else Keeper.NETWORK

    def boot(self) -> str:
        """One for every time the station came on."""
        return f"played {self._origin}-{sum(1 for _, ended in self._off if ended <= self._now)}"

    def wait(self, until_monotonic_s: float, wake: threading.Event) -> bool:
        """Be there at once; a moment inside an off stretch comes when the station is on again."""
        wake.clear()
        moment = self._origin + round(until_monotonic_s)
        self._now = next((ended for began, ended in self._off if began < moment < ended), moment)
        return True

    def _wrong_now(self) -> Wrong | None:
        return next((wrong for wrong in self._wrong if wrong.began <= self._now < wrong.ended), None)


class CarefulClock:
    """A clock that never falls behind what the store holds for as long as nobody says that it is right.

    A Pi without a battery wakes at an old time. What is in the store has been, so time goes on from there:
    nothing that is written while the clock is wrong can lie among what was written when it was right.
    """

    def __init__(self, clock: Clock) -> None:
        """Time as `clock` has it until `hold` is called."""
        self._clock = clock
        self._least_ahead_s: float | None = None
        self._vouched = False

    def vouch(self) -> None:
        """Know from the store that the clock was set since the machine's start."""
        self._vouched = True

    def hold(self, ahead_s: float | None) -> None:
        """Be at least so far ahead of the monotonic clock while the time is not settled; None: follow it."""
        self._least_ahead_s = ahead_s

    def now_s(self) -> int:
        """Wall time in whole Unix seconds, UTC."""
        wall = self._clock.now_s()
        if self._least_ahead_s is None or self._vouched or self._clock.keeper().settled:
            return wall
        return max(wall, floor(self._least_ahead_s + self._clock.monotonic_s()))

    def monotonic_s(self) -> float:
        """Seconds that never step."""
        return self._clock.monotonic_s()

    def keeper(self) -> Keeper:
        """As the clock has it, but for a battery clock that is behind what has been."""
        if self._vouched:
            return Keeper.NETWORK
        keeper = self._clock.keeper()
        return (
            Keeper.NOBODY if keeper is Keeper.BATTERY and self.now_s() > self._clock.now_s() + 1 else keeper
        )

    def boot(self) -> str:
        """A name for the machine's present start."""
        return self._clock.boot()

    def wait(self, until_monotonic_s: float, wake: threading.Event) -> bool:
        """Wait for the moment or for `wake`; True when the moment has come."""
        return self._clock.wait(until_monotonic_s, wake)
