"""Deliveries: each carrier has its own, and a letter's state follows from them."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlite_utils import Database, Migrations

from daemon.store import deliveries, letters, schema
from daemon.store.deliveries import Delivery
from daemon.store.file import WritingStore

HOUR = 3600


@pytest.fixture
def store(tmp_path: Path) -> Iterator[WritingStore]:
    opened = WritingStore(tmp_path, durable=False)
    yield opened
    opened.close()


def written(store: WritingStore, at: int, *carriers: str) -> int:
    """A letter that is written and queued at `at`."""
    connection = store.connection
    with store.transaction():
        letter_id = letters.hold(connection, at, "cold", "cold", at, ["tray"])
        letters.write(connection, letter_id, ["tray"], "Cold", b"words", letters.next_number(connection), at)
        deliveries.queue(connection, letter_id, carriers, at)
    return letter_id


def first(store: WritingStore, carrier: str, at: int) -> Delivery:
    found = deliveries.next_due(store.connection, carrier, at, HOUR)
    assert found is not None
    return found


def state(store: WritingStore, letter_id: int) -> tuple[str, int, int | None]:
    row = letters.one(store.connection, letter_id)
    return row.state, row.attempts, row.sent_at


def test_a_letter_is_out_once_one_carrier_took_it_and_still_waits_for_the_other(store: WritingStore) -> None:
    letter = written(store, 10, "mail", "webhook")
    deliveries.put_off_all(store.connection, first(store, "webhook", 10), 70, "no line")
    assert state(store, letter) == ("queued", 1, None)
    deliveries.sent(store.connection, first(store, "mail", 10), 20)
    assert state(store, letter) == ("sent", 2, 20)
    assert deliveries.next_due(store.connection, "mail", 9999, HOUR) is None
    deliveries.sent(store.connection, first(store, "webhook", 70), 80)
    assert state(store, letter) == ("sent", 3, 20)


def test_a_letter_is_parked_only_when_every_carrier_refused_it(store: WritingStore) -> None:
    letter = written(store, 10, "mail", "webhook")
    deliveries.park(store.connection, first(store, "mail", 10), "550 no")
    assert state(store, letter)[0] == "queued"
    deliveries.park(store.connection, first(store, "webhook", 10), "answered 404")
    assert state(store, letter) == ("parked", 2, None)
    troubles = {way.carrier: way.trouble for way in deliveries.of(store.connection, letter)}
    assert troubles == {"mail": "550 no", "webhook": "answered 404"}


def test_a_line_that_is_down_puts_all_off_and_a_letter_that_is_put_off_only_itself(
    store: WritingStore,
) -> None:
    one, two = (written(store, at, "mail") for at in (10, 20))
    deliveries.put_off_all(store.connection, first(store, "mail", 20), 100, "no line")
    assert deliveries.next_due(store.connection, "mail", 99, HOUR) is None
    assert [(way.letter, way.attempts) for way in deliveries.queued(store.connection, "mail")] == [
        (one, 1),
        (two, 0),
    ]
    deliveries.put_off(store.connection, first(store, "mail", 100), 160, "451 later")
    assert first(store, "mail", 100).letter == two


def test_a_new_letter_has_what_waits_tried_before_it(store: WritingStore) -> None:
    one = written(store, 10, "mail")
    deliveries.put_off_all(store.connection, first(store, "mail", 10), 3000, "no line")
    two = written(store, 50, "mail")
    assert first(store, "mail", 50).letter == one
    deliveries.sent(store.connection, first(store, "mail", 50), 50)
    assert first(store, "mail", 50).letter == two


def test_a_clock_put_back_does_not_leave_letters_waiting_for_ever(store: WritingStore) -> None:
    letter = written(store, 1_900_000_000, "mail")
    deliveries.put_off_all(store.connection, first(store, "mail", 1_900_000_000), 1_900_003_600, "no line")
    assert first(store, "mail", 1_800_000_000).letter == letter


def test_parked_letters_are_tried_again_all_or_by_id(store: WritingStore) -> None:
    ids = [written(store, at, "mail") for at in (10, 20, 30)]
    for _ in ids:
        deliveries.park(store.connection, first(store, "mail", 30), "550 no")
    assert deliveries.try_now(store.connection, 90, [ids[1]]) == 1
    assert [state(store, letter)[0] for letter in ids] == ["parked", "queued", "parked"]
    assert deliveries.try_now(store.connection, 90, []) == 3
    assert deliveries.try_now(store.connection, 90, [77]) == 0


def test_a_carrier_that_is_gone_from_the_station_takes_no_letter_with_it(store: WritingStore) -> None:
    waits, out = written(store, 10, "files"), written(store, 20, "files")
    way = deliveries.of(store.connection, out)[0]
    deliveries.sent(store.connection, way, 25)
    deliveries.take_up(store.connection, ["mail", "webhook"], 50)
    assert [way.letter for way in deliveries.queued(store.connection, "mail")] == [waits]
    assert [way.letter for way in deliveries.queued(store.connection, "webhook")] == [waits]
    assert state(store, out)[0] == "sent"


def test_a_carrier_that_is_new_is_not_given_what_another_still_has(store: WritingStore) -> None:
    letter = written(store, 10, "mail")
    deliveries.take_up(store.connection, ["mail", "webhook"], 50)
    assert [way.carrier for way in deliveries.of(store.connection, letter)] == ["mail"]


@given(
    fates=st.lists(
        st.tuples(
            st.sampled_from(["mail", "webhook"]), st.sampled_from(["sent", "park", "off", "all off", "new"])
        ),
        max_size=40,
    )
)
def test_whatever_the_carriers_do_no_letter_goes_twice_or_vanishes(
    tmp_path_factory: pytest.TempPathFactory, fates: list[tuple[str, str]]
) -> None:
    store = WritingStore(tmp_path_factory.mktemp("store"), durable=False)
    taken: dict[str, list[int]] = {"mail": [], "webhook": []}
    ids = [written(store, 0, "mail", "webhook")]
    for at, (carrier, fate) in enumerate(fates, start=1):
        way = deliveries.next_due(store.connection, carrier, at, HOUR)
        if fate == "new":
            ids.append(written(store, at, "mail", "webhook"))
        elif way is not None and fate == "sent":
            deliveries.sent(store.connection, way, at)
            taken[carrier].append(way.letter)
        elif way is not None and fate == "park":
            deliveries.park(store.connection, way, "no")
        elif way is not None:
            put_off = deliveries.put_off if fate == "off" else deliveries.put_off_all
            put_off(store.connection, way, at + 3, "later")
    for carrier, went in taken.items():
        assert len(set(went)) == len(went)
        ways = [
            way for letter in ids for way in deliveries.of(store.connection, letter) if way.carrier == carrier
        ]
        assert len(ways) == len(ids)
        assert {way.letter for way in ways if way.state == "sent"} == set(went)
    assert [letters.one(store.connection, letter).number for letter in ids] == list(range(1, len(ids) + 1))
    store.close()


def older_store(folder: Path, last: str) -> sqlite3.Connection:
    """A store as the version left it whose last migration was `last`."""
    connection = sqlite3.connect(folder / "station.db", isolation_level=None)
    before = Migrations("naupliad")
    database, migrations = schema.prepared(connection)
    for step in migrations.pending(database):
        if step.name <= last:
            before(name=step.name)(step.fn)
    before.apply(Database(connection))
    return connection


def test_letters_of_a_store_from_before_deliveries_are_numbered_and_go_on(tmp_path: Path) -> None:
    connection = older_store(tmp_path, "0001_first_tables")
    columns = "at, kind, subject, state, due_at, sent_at, number, about, message, trouble"
    for row in (
        (1, "cold", "a", "sent", 1, 5, 1, "[]", b"m", ""),
        (2, "cold", "b", "queued", 9, None, None, "[]", b"m", "451"),
        (3, "cold", "c", "held", 9, None, None, "[]", None, ""),
        (4, "cold", "d", "parked", 4, None, None, "[]", b"m", "550"),
    ):
        connection.execute(f"INSERT INTO letter ({columns}) VALUES ({', '.join('?' * 10)})", row)
    connection.close()
    store = WritingStore(tmp_path, durable=False)
    deliveries.take_up(store.connection, ["mail"], 50)
    rows = letters.between(store.connection, 0, 99)
    assert [(row.number, row.state, row.written_at) for row in rows] == [
        (1, "sent", 1),
        (2, "queued", 2),
        (None, "held", None),
        (3, "parked", 4),
    ]
    assert [way.letter for way in deliveries.queued(store.connection, "mail")] == [2]
    store.close()


def test_a_store_from_before_merged_into_still_knows_which_letter_speaks_of_which(tmp_path: Path) -> None:
    connection = older_store(tmp_path, "0004_thinned")
    columns = "id, at, kind, subject, state, due_at, number, about, message, written_at, told_by"
    for row in (
        (1, 1, "cold", "a", "merged", 1, 1, "[]", b"m", 1, 3),
        (2, 2, "hot", "b", "sent", 2, 2, "[]", b"m", 2, None),
        (3, 3, "digest", "c", "sent", 3, 3, "[]", b"m", 3, None),
    ):
        connection.execute(f"INSERT INTO letter ({columns}) VALUES ({', '.join('?' * 11)})", row)
    connection.close()
    store = WritingStore(tmp_path, durable=False)
    assert [row.id for row in letters.merged_into(store.connection, 3)] == [1]
    assert [letters.one(store.connection, n).merged_into for n in (1, 2, 3)] == [3, None, None]
    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        letters.merge_into(store.connection, 2, 99)
    store.close()


def test_a_power_cut_while_merged_into_gets_its_name_leaves_the_store_as_it_was(tmp_path: Path) -> None:
    connection = older_store(tmp_path, "0004_thinned")
    database, migrations = schema.prepared(connection)
    rename = migrations.pending(database)[0]
    cut_off = Migrations("naupliad")

    @cut_off(name=rename.name)
    def _cut_off(database: Database) -> None:
        rename.fn(database)
        raise RuntimeError("the plug is pulled")

    with pytest.raises(RuntimeError):
        cut_off.apply(database)
    assert "told_by" in {row[1] for row in connection.execute("PRAGMA table_info(letter)")}
    connection.close()
    store = WritingStore(tmp_path, durable=False)
    assert letters.merged_into(store.connection, 1) == []
    store.close()
