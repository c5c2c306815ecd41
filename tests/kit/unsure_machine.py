"""A machine whose clock may be wrong: the true time is known to the test, and not to the station."""

import threading
from collections.abc import Sequence
from pathlib import Path

from daemon.app import House
from daemon.beat import Listener, Loop
from daemon.care.deed import Deed
from daemon.clock_keeper import Keeper
from daemon.config import parse_station
from daemon.inbox.listening import Inbox
from daemon.post.carrier import Outgoing
from daemon.store.file import WritingStore
from daemon.surroundings import Surroundings
from daemon.workers import InlineWorkers
from sensors.reading import Quality, Reading
from tests.kit.recordings import unix
from tests.kit.station import station_text

TEXT = station_text(every_s=600)
STATION = parse_station(TEXT, "station.toml")
BEGAN = unix("2027-01-14T09:00:00+00:00")


class Machine:
    """A machine whose true time is known here and not to its clock; it is the bench too."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.true, self.error, self.told = folder, BEGAN, 0, Keeper.NETWORK
        self.started, self.starts = BEGAN, 0
        self.read: list[int] = []  # the true moment of every reading that was acknowledged
        self.taken = 0
        self.sent: list[tuple[str, int]] = []
        self.deeds: list[int] = []
        self.inbox: Inbox | None = None
        self.home: House | None = None
        self.store: WritingStore | None = None

    # The clock.
    def now_s(self) -> int:
        return self.true + self.error

    def monotonic_s(self) -> float:
        return float(self.true - self.started)

    def keeper(self) -> Keeper:
        return self.told

    def boot(self) -> str:
        return f"start {self.starts}"

    def wait(self, until_monotonic_s: float, wake: threading.Event) -> bool:
        self.true = self.started + round(until_monotonic_s)
        return True

    # The bench: every reading tells its own number.
    def sample(self, at: int) -> Sequence[Reading]:
        self.taken = len(self.read)
        room_c = 15.0 + self.taken / 1000
        return [
            Reading(at, "cup-water", 22.0 + self.taken % 3 / 100, Quality.GOOD),
            Reading(at, "room-air", room_c, Quality.GOOD),
        ]

    def close(self) -> None:
        """Nothing is held."""

    # The post.
    def carry(self, letter: Outgoing) -> None:
        self.sent.append((letter.kind, self.true))

    def reach(self) -> None:
        """Always."""

    # What happens.
    def start(self) -> None:
        self.store = WritingStore(self.folder, durable=False)
        around = Surroundings(
            bench=self,
            clock=self,
            workers=InlineWorkers(),
            carriers={"files": self},
            folder=self.folder,
            free_bytes=lambda: 10**10,
            inbox=self.inbox,
            played_deeds=self._done,
        )
        self.home = House(STATION, TEXT, self.store, around)

    def _done(self, at: int) -> list[Deed]:
        if self.deeds:
            return []
        self.deeds.append(self.true)
        return [Deed(at, "cup", "set", 0.05, {"salt_g_per_l": 28.0})]

    def run(self, beats: int) -> None:
        """`beats` more."""
        if self.home is None:
            self.start()
        assert self.home is not None
        last = len(self.read) + beats

        def after_beat(_at: int) -> None:
            self.read.append(self.true)
            if len(self.read) == last:
                loop.stop()

        loop = Loop(
            self.home,
            self.home.clock,
            STATION.sample_every_s,
            threading.Event(),
            next_job_s=self.home.next_job_s,
            listeners=[Listener(after_beat)],
        )
        loop.run()

    def kill(self) -> None:
        """Between two beats; nothing of the house is asked for a last word."""
        if self.store is not None:
            self.store.close()
        self.home = self.store = None

    def off(self, seconds: int, error: int, told: Keeper) -> None:
        """The power goes, and comes back later with a clock that is wrong by `error`."""
        self.kill()
        self.true += seconds
        self.started, self.starts, self.told = self.true, self.starts + 1, told
        self.error = error if told is Keeper.NOBODY else 0
