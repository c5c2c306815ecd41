"""What a station at work is surrounded by: everything that differs between real and played time."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from daemon.care.deed import Deed
from daemon.clock import Clock
from daemon.inbox.listening import Request
from daemon.letters.nights import Nights
from daemon.post.carrier import Carrier
from daemon.watching.snapshot.snapshots import Snapshots
from daemon.workers import Workers
from reports.chart.child_process import Draw, draw_in_child
from sensors.reading import Bench

# Deeds that are due by a moment of played time.
PlayedDeeds = Callable[[int], Sequence[Deed]]


class Mailbox(Protocol):
    """Where requests come in."""

    def requests(self) -> Sequence[Request]:
        """What has come since the last call, in order."""


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Everything that differs between real and played time; the rest of a station does not.

    `carriers` take letters, by the names they have in the store. `free_bytes` is the room left where the
    store stands. `inbox` brings requests while the daemon runs, `played_deeds` what a care log or a story
    tells. `nights` make the letters of nights; without them they are made here, and `draw` draws.
    `snapshots` make the next start short; played time has none.
    """

    bench: Bench
    clock: Clock
    workers: Workers
    carriers: Mapping[str, Carrier]
    folder: Path
    free_bytes: Callable[[], int]
    inbox: Mailbox | None = None
    played_deeds: PlayedDeeds | None = None
    draw: Draw = draw_in_child
    nights: Nights | None = None
    snapshots: Snapshots | None = None
