"""Whatever a machine's clock does: once it is right, what was stamped has the times at which it happened."""

import sqlite3
import threading
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.app import House, Surroundings
from daemon.backroom import InlineBackroom
from daemon.beat import Loop
from daemon.care.deed import Deed
from daemon.config import parse_station
from daemon.post.carrier import Outgoing
from daemon.store.file import WritingStore
from daemon.timekeeping import Keeper
from sensors.reading import Quality, Reading
from tests.small_station import station_text, unix

TEXT = station_text(every_s=600)
STATION = parse_station(TEXT, "station.toml")
BEGAN = unix("2027-01-14T09:00:00+00:00")
LISBON = ZoneInfo("Europe/Lisbon")


class Machine:
    """A machine whose true time is known here and not to its clock; it is the bench too."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.true, self.error, self.told = folder, BEGAN, 0, Keeper.NETWORK
        self.started, self.starts = BEGAN, 0
        self.read: list[int] = []  # the true moment of every reading that was acknowledged
        self.taken = 0
        self.sent: list[tuple[str, int]] = []
        self.deeds: list[int] = []
        self.awake = 0
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
        if self.awake == 0:
            self.loop.stop()
        self.awake -= 1
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
            backroom=InlineBackroom(),
            carriers={"files": self},
            folder=self.folder,
            wake=threading.Event(),
            played=True,
            free_bytes=lambda: 10**10,
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
        self.loop = Loop(
            self.home,
            self.home.clock,
            STATION.sample_every_s,
            threading.Event(),
            after_beat=lambda _at: self.read.append(self.true),
        )
        self.awake = beats - 1
        self.loop.run()

    def kill(self) -> None:
        """Between two beats; nothing of the house is asked for a last word."""
        if self.store is not None and self.home is not None:
            self.home.close()  # the scheduler's thread would outlive the test
            self.store.close()
        self.home = self.store = None

    def off(self, seconds: int, error: int, told: Keeper) -> None:
        """The power goes, and comes back later with a clock that is wrong by `error`."""
        self.kill()
        self.true += seconds
        self.started, self.starts, self.told = self.true, self.starts + 1, told
        self.error = error if told is Keeper.NOBODY else 0


HOURS = st.integers(-300, 300).map(lambda tenths: tenths * 360)
ACTION = st.one_of(
    st.tuples(st.just("run"), st.integers(1, 150)),
    st.tuples(st.just("kill"), st.just(0)),
    st.tuples(st.just("restart wrong"), HOURS),
    st.tuples(st.just("restart right"), st.just(0)),
    st.tuples(st.just("step"), HOURS),
    st.tuples(st.just("set right"), st.just(0)),
)


def play(machine: Machine, actions: Sequence[tuple[str, int]]) -> list[tuple[int, int]]:
    """Do it all, then set the clock right; stretches of reading numbers whose start learned the time."""
    known: list[tuple[int, int]] = []
    first = 0
    for number, (do, by) in enumerate([*actions, ("set right", 0), ("run", 2)]):
        if do == "run":
            machine.run(by)
        elif do == "kill":
            machine.kill()
        elif do.startswith("restart"):
            if machine.told is Keeper.NETWORK:
                known.append((first, len(machine.read)))
            first = len(machine.read)
            machine.off(1800 + 977 * number, by, Keeper.NOBODY if do == "restart wrong" else Keeper.NETWORK)
        elif do == "step" and machine.told is Keeper.NOBODY:
            machine.error += by
        elif do == "set right":
            if machine.told is Keeper.NOBODY and machine.home is not None:
                machine.run(1)
            machine.error, machine.told = 0, Keeper.NETWORK
            machine.run(1)
    return [*known, (first, len(machine.read))]


@settings(max_examples=400, deadline=None)
@given(st.lists(ACTION, max_size=9))
def test_what_is_stored_has_its_true_time_once_the_clock_is_right_and_nothing_is_lost(
    actions: list[tuple[str, int]],
) -> None:
    with TemporaryDirectory() as folder:
        machine = Machine(Path(folder))
        machine.run(3)
        known = play(machine, actions)
        assert machine.store is not None
        connection = machine.store.connection
        rows = connection.execute(
            "SELECT at, value FROM reading WHERE probe = 'room-air' ORDER BY at"
        ).fetchall()
        assert [round((value - 15.0) * 1000) for _, value in rows] == list(range(len(machine.read)))
        for began, ended in known:
            assert [at for at, _ in rows[began:ended]] == machine.read[began:ended]
        assert rows == sorted(rows)
        check_letters(machine, connection)
        machine.kill()


def check_letters(machine: Machine, connection: sqlite3.Connection) -> None:
    """No night is told twice, and no other matter; a letter that is kept was sent once."""
    nights = [
        datetime.fromtimestamp(at, LISBON).date()
        for (at,) in connection.execute("SELECT at FROM letter WHERE kind = 'nightly' AND state = 'sent'")
    ]
    assert len(nights) == len(set(nights))
    (sent,) = connection.execute("SELECT count(*) FROM letter WHERE state = 'sent'").fetchone()
    assert sent == len(machine.sent)
    assert not connection.execute("SELECT 1 FROM letter WHERE sent_at > ?", (machine.true,)).fetchone()
    doubles = "SELECT began FROM outage GROUP BY began HAVING count(*) > 1"
    assert not connection.execute(doubles).fetchall()
    (deed_at,) = connection.execute("SELECT at FROM deed").fetchone()
    assert deed_at == machine.deeds[0]
