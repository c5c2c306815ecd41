"""What a set-up works on: the files of one station, and what is followed of them now."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from daemon.station import Station


@dataclass(frozen=True, slots=True)
class SetUpPlace:
    """The station file's path as it was told, the state folder, and the daemon's environment.

    `followed` is the station that runs; None where none does, and then `waits_for` says in lines what for.
    `kept` is called when another station file was kept and the answer is on its way, in any thread.
    """

    config: Path
    state: Path
    environ: Mapping[str, str]
    followed: Station | None
    waits_for: Callable[[], tuple[str, ...]] = tuple
    kept: Callable[[], None] = lambda: None
