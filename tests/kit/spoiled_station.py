"""A station whose store was spoiled inside its rows, started again; and what must be true then.

A row may be as it was; or be set aside, which is told; or have been altered into one that could be true,
which no program can know. None may be gone without a word, and none that was not spoiled.
"""

import json
import lzma
import shutil
import sqlite3
import threading
from collections import Counter
from contextlib import closing
from dataclasses import dataclass, field, fields
from pathlib import Path
from random import Random

from daemon.app import House
from daemon.care.deed import Deed
from daemon.clock import PlayedClock
from daemon.config import parse_station
from daemon.post.folder import FolderCarrier
from daemon.running.disk.store import open_store, taken_up
from daemon.store import readings as reading_store
from daemon.store.file import FILE_NAME, WritingStore
from daemon.store.row_rules import RULES
from daemon.surroundings import Surroundings
from daemon.workers import InlineWorkers
from sensors.probe_bench import InlineBench
from sensors.reading import Measure, Reading, judged
from tests.kit.checkout import DATA
from tests.kit.command_line import naupliad
from tests.kit.record_spoiler import Spoiled, Spoiler
from tests.kit.undrawn import undrawn

EVERY_S = 600
_NEVER = threading.Event()
_MOST_STARTS = 4  # a daemon that ends is started anew; one that ends so often is given up here
_PROBES = {"sill-water": Measure.WATER_C, "sill-light": Measure.LIGHT_LUX, "room-air": Measure.ROOM_C}


@dataclass
class Spoils:
    """What was counted; the last four must be nought or empty."""

    stores: int = 0
    values_spoiled: int = 0
    index_entries: int = 0
    rows_as_they_were: int = 0
    rows_set_aside: int = 0
    rows_altered_into_others_that_could_be: int = 0
    stores_set_aside_as_a_whole: int = 0
    ended_in_a_beat_and_went_on: int = 0
    dead_starts: int = 0
    rows_lost: int = 0
    losses_untold: int = 0
    broken: list[str] = field(default_factory=list)

    def add(self, other: "Spoils") -> None:
        for one in fields(self):
            setattr(self, one.name, getattr(self, one.name) + getattr(other, one.name))

    @property
    def held(self) -> bool:
        return not (self.dead_starts or self.rows_lost or self.losses_untold or self.broken)


class WarmBench(InlineBench):
    """Probes that go on reading what a warm window gives."""

    def __init__(self) -> None:
        super().__init__([])

    def sample(self, at: int) -> list[Reading]:
        values = {"sill-water": 26.0 + at // 600 % 5 / 10, "sill-light": 900.0, "room-air": 24.0}
        return [judged(at, probe, measure, values[probe]) for probe, measure in _PROBES.items()]


def base_store(folder: Path) -> Path:
    """A store with something in every table that a station fills: the first version's, and two hours more."""
    folder.mkdir(parents=True)
    sql = lzma.decompress((DATA / "first_version" / "station.sql.xz").read_bytes()).decode()
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection:
        connection.executescript(sql)
    with closing(sqlite3.connect(folder / FILE_NAME, isolation_level=None)) as connection:
        connection.execute("PRAGMA page_size = 512")
        connection.execute("VACUUM")
    with closing(WritingStore(folder)) as store:
        now = (reading_store.newest_at(store.connection) or 0) + EVERY_S
        house, clock = _house(store, folder, now)
        for deed in (
            Deed(now, "sill", "note", None, {"text": "Über dem Fenster ist es hell"}),
            Deed(now, "sill", "salinity", 31.0, {"with": "refractometer", "water_c": 24.0}),
            Deed(now - 7200, "sill", "stir"),
        ):
            house.care.record(deed, now)
        _beat(house, clock, 8)
        store.connection.executescript(_MORE.format(now=now))
    return folder


# What a station meets seldom: it shall be there to be spoiled.
_MORE = """
INSERT INTO shelf (at, vessel, condition, until, by_whom)
    VALUES ({now}, 'sill', 'lamp', {now} + 86400, 'heron');
INSERT INTO outage VALUES ({now} - 90000, {now} - 86000, 1), ({now} - 190000, {now} - 186000, 1);
INSERT INTO clock_step VALUES ({now} - 90000, 40);
INSERT INTO doubt VALUES ({now} - 5000, 'room-air', 'noisy'), ({now} - 4000, 'room-air', '');
INSERT INTO card_failure VALUES ({now} - 300000, {now} - 299000, 'full');
INSERT INTO thinned VALUES ('reading', {now} - 8000000);
INSERT INTO letter (at, kind, subject, state, due_at, about)
    VALUES ({now}, 'probe', 'probe', 'held', {now} + 50000, '["room-air"]');
UPDATE letter SET state = 'queued' WHERE number = 3;
INSERT OR REPLACE INTO delivery (letter, carrier, state, due_at, trouble)
    SELECT id, 'letters', 'queued', {now}, 'no line' FROM letter WHERE number = 3
"""


def suffer(base: Path, folder: Path, seed: int, *, most: int = 6, beats: int = 9) -> Spoils:
    """Spoil a copy of a store in one to `most` places, start a station on it, and look at what is left.

    It is played on for `beats` of ten minutes: the ninth brings the nightly letter.
    """
    shutil.copytree(base, folder)
    chance, found = Random(seed), Spoils(stores=1)
    before = _rows(folder)
    spoiler = Spoiler(folder / FILE_NAME)
    spoiled = [spoiler.spoil(chance) for _ in range(chance.randint(1, most))]
    spoiler.write()
    found.values_spoiled = len(spoiled)
    found.index_entries = sum(one.row is None for one in spoiled)
    now = 1_809_792_600 + 10 * EVERY_S + 3000
    try:
        open_store(folder, now).close()
    except Exception as error:
        found.dead_starts += 1
        found.broken.append(f"seed {seed}: {error!r} after {spoiled}")
        return found
    _compare(before, folder, spoiled, found, seed)
    kept = len(list(folder.glob("*.broken-*")))
    _live(folder, now, beats, found, seed, spoiled)
    if len(list(folder.glob("*.broken-*"))) > kept:
        found.stores_set_aside_as_a_whole += 1
        found.broken.append(f"seed {seed}: set aside when taken up, after {spoiled}")
    return found


def _compare(
    before: dict[str, Counter[tuple[object, ...]]],
    folder: Path,
    spoiled: list[Spoiled],
    found: Spoils,
    seed: int,
) -> None:
    if list(folder.glob("*.broken-*")):
        found.stores_set_aside_as_a_whole += 1
        found.broken.append(f"seed {seed}: set aside as a whole, after {spoiled}")
        return
    after, aside = _rows(folder), _aside(folder)
    hit = {(one.name, one.row) for one in spoiled if one.row is not None}
    letters = {row[0] for name, row in hit if name == "letter" and row is not None}
    for table in RULES:
        gone, new = before[table] - after[table], after[table] - before[table]
        hurt = [row for row in gone if any(name == table and _same(known, row) for name, known in hit)]
        follows = [row for row in gone if table == "delivery" and row[0] in letters]
        innocent = [row for row in gone if row not in hurt and row not in follows]
        if innocent:
            found.rows_lost += len(innocent)
            found.broken.append(f"seed {seed}: {table} lost {innocent}, after {spoiled}")
        set_aside = aside[table]
        found.rows_set_aside += set_aside
        found.rows_altered_into_others_that_could_be += sum(new.values())
        untold = sum(gone.values()) - sum(new.values()) - set_aside
        if untold:
            found.losses_untold += abs(untold)
            found.broken.append(f"seed {seed}: {table}: {untold} rows without a word, after {spoiled}")
    found.rows_as_they_were += sum((before[table] & after[table]).total() for table in RULES)


def _same(known: tuple[object, ...] | None, row: tuple[object, ...]) -> bool:
    """What lies on other pages is not known to the spoiler."""
    return known is not None and all(a is ... or a == b for a, b in zip(known, row, strict=True))


def _live(folder: Path, now: int, beats: int, found: Spoils, seed: int, spoiled: list[Spoiled]) -> None:
    done = 0
    for start in range(_MOST_STARTS):
        try:
            store, (house, clock) = taken_up(
                folder, now, lambda store, at=now + done * EVERY_S: _house(store, folder, at)
            )
        except Exception as error:
            found.dead_starts += 1
            found.broken.append(f"seed {seed}: taken up with {error!r}, after {spoiled}")
            return
        try:
            while done < beats:
                _beat(house, clock, 1)
                done += 1
            _told(store, found, seed)
            _read_by_commands(folder, found, seed, spoiled)
            found.ended_in_a_beat_and_went_on += start > 0
            return
        except Exception as error:
            last = error
        finally:
            store.close()
    found.dead_starts += 1
    found.broken.append(f"seed {seed}: beats end with {last!r}, after {spoiled}")


def _told(store: WritingStore, found: Spoils, seed: int) -> None:
    """Where rows were set aside, a letter is held or gone that says so."""
    (aside,) = store.connection.execute("SELECT count(*) FROM row_set_aside").fetchone()
    (said,) = store.connection.execute("SELECT count(*) FROM letter WHERE kind = 'storage'").fetchone()
    if aside and not said:
        found.losses_untold += aside
        found.broken.append(f"seed {seed}: no letter tells of {aside} rows set aside")


def _read_by_commands(folder: Path, found: Spoils, seed: int, spoiled: list[Spoiled]) -> None:
    (folder / "summary.json").write_text("{}", encoding="utf-8")  # of a play: now is the last reading
    for words in (("now", "--json"), ("now",), ("care", "list", "--all"), ("post", "list")):
        try:
            said = naupliad(*words, "--state", folder)
        except Exception as error:
            found.broken.append(f"seed {seed}: {words} raised {error!r}, after {spoiled}")
            continue
        if said.code:
            found.broken.append(f"seed {seed}: {words} said {said.err}, after {spoiled}")


def _house(store: WritingStore, folder: Path, now: int) -> tuple[House, PlayedClock]:
    text = (DATA / "first_version" / "station.toml").read_text(encoding="utf-8")
    clock = PlayedClock(now)
    around = Surroundings(
        WarmBench(),
        clock,
        InlineWorkers(),
        {"letters": FolderCarrier(folder)},
        folder=folder,
        free_bytes=lambda: 10**10,
    )
    with undrawn():
        return House(parse_station(text, "station.toml"), text, store, around), clock


def _beat(house: House, clock: PlayedClock, beats: int) -> None:
    with undrawn():
        for _ in range(beats):
            house.beat(clock.now_s())
            clock.wait(clock.monotonic_s() + EVERY_S, _NEVER)


def _rows(folder: Path) -> dict[str, Counter[tuple[object, ...]]]:
    with closing(sqlite3.connect(f"file:{folder / FILE_NAME}?mode=ro", uri=True)) as connection:
        connection.text_factory = lambda raw: raw.decode("utf-8", "replace")
        return {
            table: Counter(connection.execute(f"SELECT * FROM {table} NOT INDEXED").fetchall())
            for table in RULES
        }


def _aside(folder: Path) -> Counter[str]:
    with closing(sqlite3.connect(f"file:{folder / FILE_NAME}?mode=ro", uri=True)) as connection:
        rows = connection.execute("SELECT from_table, row FROM row_set_aside").fetchall()
    assert all(isinstance(json.loads(row), dict) for _, row in rows)
    return Counter(table for table, _ in rows)
