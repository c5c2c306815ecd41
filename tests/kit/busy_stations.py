"""Stations at work for tests of the whole record: each with its store, its desk and its line, in a thread.

Their clocks are a test's: a day goes by in seconds, and so does the pause after which a box goes again.
"""

import random
import sqlite3
import ssl
import threading
import time
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from daemon.outside.record_desk import RecordDesk
from daemon.post.box_line import BoxLine
from daemon.post.mqtt import RetainedTopics
from daemon.record import topics
from daemon.seconds import HOUR_S
from daemon.station import Broker
from daemon.store import alarms, deeds, deliveries, estimates, letters, outbox, readings
from daemon.store.alarms import AlarmRow
from daemon.store.file import WritingStore
from sensors.reading import Quality, Reading
from tests.kit.station import station

BEGAN = 1_800_000_000 // HOUR_S * HOUR_S
_STEP_S = 300
# A minute's pause before a box goes again takes half a second.
_HURRY = 120.0
# Who has so much to tell writes no more until some of it is told: a test has an end.
_ENOUGH = 60
_STATION = station(every_s=_STEP_S)


class CountedLine(BoxLine):
    """A station's line; `acknowledged` counts what the broker has acknowledged."""

    acknowledged = 0

    def published(self, mid: int, reason: Any) -> None:
        super().published(mid, reason)
        self.acknowledged += mid in self._flying


class ForgetsOnPuback(CountedLine):
    """What no station does: it takes the broker's acknowledgement for a receipt."""

    def _hear(self) -> None:
        flying = {*self._flying.values()}
        super()._hear()
        self._received |= flying.difference(self._flying.values())


@dataclass
class BusyStation:
    """Writes and tells until it is told to end; then it tells what it still owes.

    `given` has the highest number that each thing (kind, key) was ever owed under, `numbers` how many there
    were in all, `told` how many boxes it has forgotten. With a `password` it is the user of its key;
    with a `context`, over TLS.
    """

    key: str
    folder: Path
    port: int
    line_kind: type[CountedLine] = CountedLine
    password: str | None = None
    context: ssl.SSLContext | None = None
    hurry: float = _HURRY
    given: dict[tuple[str, int], int] = field(default_factory=dict)
    numbers: set[int] = field(default_factory=set)
    told: int = 0
    owed: int = 0
    wrong: list[BaseException] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._chance = random.Random(self.key)
        self._at = BEGAN
        self._ends = threading.Event()
        self._leaves = threading.Event()
        self._wake = threading.Event()
        self._line = self.line_kind(self.key, self._wake)
        self._thread = threading.Thread(target=self._live, name=f"station {self.key}", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def end(self) -> None:
        """Write no more."""
        self._ends.set()

    def leave(self) -> None:
        """Go at once, whatever is owed."""
        self._leaves.set()

    def gone(self) -> bool:
        """Whether it owes nothing more; raises what went wrong in its thread."""
        if self.wrong:
            raise self.wrong[0]
        return not self._thread.is_alive()

    @property
    def acknowledged(self) -> int:
        """How many of its boxes the broker has acknowledged."""
        return self._line.acknowledged

    def store(self) -> sqlite3.Connection:
        return sqlite3.connect(f"file:{self.folder}/station.db?mode=ro", uri=True)

    def _live(self) -> None:
        try:
            with closing(WritingStore(self.folder, durable=False)) as store:
                self._work(store)
        except BaseException as error:
            self.wrong.append(error)

    def _work(self, store: WritingStore) -> None:
        with store.transaction() as connection:
            outbox.begin(connection, self.key, self._at)
            for write in _WRITES.values():  # however short it lives, it has something of each kind
                write(connection, self._at, self._chance)
        line = self._line
        desk = RecordDesk(
            _STATION,
            store,
            line,
            most=20_000,
            monotonic_s=lambda: self.hurry * time.monotonic(),
            is_sure=lambda: True,
            is_full=lambda _full: None,
        )
        security = "tls" if self.context else "plain-on-loopback"
        broker = Broker("localhost", self.port, security, self.key if self.password else None)
        base = topics.base(self.key)
        retained = RetainedTopics(
            broker, self.password, base, context=self.context, retry_s=(1, 1), boxes=line
        )
        try:
            while self._goes_on(store):
                desk.look(self._at)
                self._note(store.connection)
                self._wake.wait(0.02)
                self._wake.clear()
        finally:
            retained.close()

    def _goes_on(self, store: WritingStore) -> bool:
        if self._leaves.is_set():
            return False
        if self._ends.is_set():
            self._at += HOUR_S  # the last hour is over too
            return bool(self.owed)
        if self.owed < _ENOUGH:
            with store.transaction() as connection:
                for _ in range(4):
                    self._write(connection)
            self._note(store.connection)
        return True

    def _note(self, connection: sqlite3.Connection) -> None:
        """Which numbers are given now. No other thread or process writes, so none goes by unseen."""
        rows = connection.execute("SELECT n, kind, key FROM outbox").fetchall()
        self.numbers.update(n for n, _, _ in rows)
        self.given.update({(kind, int(key)): n for n, kind, key in rows})
        self.owed, self.told = len(rows), len(self.numbers) - len(rows)

    def _write(self, connection: sqlite3.Connection) -> None:
        """Five minutes of a station: readings, now and then a deed, a change, or a word on the past."""
        self._at += _STEP_S
        at, chance = self._at, self._chance
        quality = chance.choice([Quality.GOOD] * 9 + [Quality.CRC])
        value = chance.randrange(200, 500) / 16
        readings.add(connection, [Reading(at, "room-air", 20.5, Quality.GOOD)])
        readings.add(connection, [Reading(at, "cup-water", value, quality)])
        for rarity, write in _WRITES.items():
            if chance.randrange(rarity) == 0:
                write(connection, at, chance)


def _does(connection: sqlite3.Connection, at: int, chance: random.Random) -> None:
    deeds.add(connection, Deed(at, "cup", "top-up", chance.randrange(5, 30), {"to": "mark"}), at)


def _thinks_again(connection: sqlite3.Connection, at: int, _chance: random.Random) -> None:
    """A deed of before is withdrawn: it was told already, as often as not."""
    row = connection.execute(
        "SELECT min(id) FROM deed WHERE withdrawn_at IS NULL AND at > ?", (at - 3 * HOUR_S,)
    )
    (deed,) = row.fetchone()
    if deed is not None:
        deeds.withdraw(connection, deed, at)


def _changes(connection: sqlite3.Connection, at: int, chance: random.Random) -> None:
    state = chance.choice(("unacknowledged", "acknowledged", "normal"))
    alarms.add(connection, AlarmRow(at, "cup", chance.choice(("hot", "cold")), state, 31.5, "", at))


def _believes(connection: sqlite3.Connection, at: int, chance: random.Random) -> None:
    half = chance.randrange(1, 1000) / 8
    estimates.add(connection, at, "cup", {"loss_ml": Estimate(half - 0.125, half, half + 0.125)})


def _moves(connection: sqlite3.Connection, at: int, chance: random.Random) -> None:
    """An hour that was told is another one now; once in a while it is emptied."""
    hour = (at - chance.randrange(1, 5) * HOUR_S) // HOUR_S * HOUR_S
    rows = "at >= ? AND at < ?"
    if chance.randrange(4) == 0:
        connection.execute(f"DELETE FROM reading WHERE {rows}", (hour, hour + HOUR_S))
    else:
        connection.execute(f"UPDATE reading SET value = value + 0.25 WHERE {rows}", (hour, hour + HOUR_S))


def _writes_a_letter(connection: sqlite3.Connection, at: int, _chance: random.Random) -> None:
    number = letters.next_number(connection)
    one = letters.hold(connection, at, "cold", "words", at, ["cup"])
    letters.write(connection, one, ["cup"], "words", b"words", number, at)
    deliveries.queue(connection, one, ["mail"], at)


# One time in so many.
_WRITES: dict[int, Callable[[sqlite3.Connection, int, random.Random], None]] = {
    5: _does,
    17: _thinks_again,
    6: _changes,
    9: _believes,
    13: _moves,
    29: _writes_a_letter,
}
