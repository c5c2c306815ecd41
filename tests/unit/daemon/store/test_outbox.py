"""What a centre is owed: whatever is lost, doubled or put back, it comes to know what the store knows."""

import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from daemon.store import alarms, deeds, deliveries, estimates, letters, mishaps, outbox, readings
from daemon.store.alarms import AlarmRow
from daemon.store.file import WritingStore
from daemon.store.spoiled_rows import set_aside_spoiled
from daemon.store.thinning import thin_stretch
from daemon.store.time_correction import correct_times
from daemon.wiping.class_data import blank
from sensors.reading import Quality, Reading
from tests.kit.recordings import unix

HOUR, DAY = 3600, 86_400
BEGAN = unix("2026-03-01T00:00:00+00:00")
KEY = "a-station"
# How many boxes there are at most under way, as the station has it.
MOST = 20
Told = dict[tuple[str, int], Any]


@pytest.fixture
def store(tmp_path: Path) -> Iterator[WritingStore]:
    with closing(WritingStore(tmp_path, durable=False)) as opened:
        yield opened


def begin(store: WritingStore, at: int = BEGAN, key: str = KEY) -> None:
    with store.transaction() as connection:
        outbox.begin(connection, key, at)


def owed(connection: sqlite3.Connection) -> set[tuple[str, int]]:
    return {(kind, int(key)) for kind, key in connection.execute("SELECT kind, key FROM outbox")}


def numbers(connection: sqlite3.Connection) -> list[int]:
    return [n for (n,) in connection.execute("SELECT n FROM outbox ORDER BY n")]


def receive_all(store: WritingStore) -> None:
    with store.transaction() as connection:
        outbox.forget(connection, numbers(connection), BEGAN)


def content(connection: sqlite3.Connection) -> Told:
    """All that boxes can tell of, by kind and key, read from the tables without any part of the program."""
    found: Told = {}
    queries = {
        "hour": "SELECT at / 3600 * 3600, at, probe, value, quality FROM reading WHERE at >= 0",
        "alarm": "SELECT id, at, vessel, condition, state, value, probe, since FROM alarm",
        "deed": "SELECT id, at, vessel, deed, amount, unit, detail, withdrawn_at, replaces FROM deed",
        "estimate": "SELECT at, vessel, quantity, p10, p50, p90 FROM estimate",
        "letter": "SELECT id, at, kind, state, sent_at, number FROM letter "
        "UNION ALL SELECT letter, carrier, state, attempts, sent_at, 0 FROM delivery",
    }
    for kind, query in queries.items():
        for key, *row in connection.execute(query):
            found.setdefault((kind, key), set()).add(tuple(row))
    return found


class Centre:
    """Keeps of each box what came under the highest number, and counts numbers."""

    def __init__(self) -> None:
        self.knows: Told = {}
        self.numbers: dict[tuple[str, int], int] = {}
        self.seen: dict[int, tuple[str, int]] = {}

    def take(self, n: int, key: tuple[str, int], said: Any) -> None:
        assert self.seen.setdefault(n, key) == key, "a number was used twice"
        if n > self.numbers.get(key, 0):
            self.numbers[key] = n
            self.knows[key] = said


class Life(RuleBasedStateMachine):
    """A store, a line that loses, doubles and delays, and a centre."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.store = WritingStore(Path(self.folder.name), durable=False)
        self.at = BEGAN + 3 * DAY
        self.centre = Centre()
        self.line: list[tuple[int, tuple[str, int], Any]] = []
        self.receipts: list[int] = []
        self.untold: Told = {}
        self.backup: sqlite3.Connection | None = None
        begin(self.store, self.at)

    def teardown(self) -> None:
        self.store.close()
        if self.backup is not None:
            self.backup.close()
        self.folder.cleanup()

    def write(self, how: Callable[[sqlite3.Connection], Any], *, untold: bool = False) -> None:
        """Write in one transaction; `untold`: what changes by it the centre is not to hear."""
        before = content(self.store.connection)
        with self.store.transaction() as connection:
            how(connection)
        after = content(self.store.connection)
        self.at += 1
        for key in before.keys() | after.keys():
            if before.get(key) != after.get(key):
                if untold:
                    self.untold.setdefault(key, before.get(key))
                else:
                    self.untold.pop(key, None)

    @rule(
        back_s=st.integers(0, 4 * HOUR),
        probe=st.sampled_from("ab"),
        value=st.sampled_from([20.0, 21.5, None]),
    )
    def read(self, back_s: int, probe: str, value: float | None) -> None:
        quality = Quality.ABSENT if value is None else Quality.GOOD
        self.write(lambda c: readings.add(c, [Reading(self.at - back_s, probe, value, quality)]))

    @rule(vessel=st.sampled_from("xy"), deed=st.sampled_from(["stir", "note"]))
    def do(self, vessel: str, deed: str) -> None:
        detail: dict[str, float | str] = {"text": "looks well"} if deed == "note" else {}
        self.write(lambda c: deeds.add(c, Deed(self.at, vessel, deed, None, detail), self.at))

    @rule(pick=st.integers(0, 9))
    def withdraw(self, pick: int) -> None:
        standing = [entry.id for entry in deeds.every(self.store.connection) if entry.withdrawn_at is None]
        if standing:
            self.write(lambda c: deeds.withdraw(c, standing[pick % len(standing)], self.at))

    @rule(state=st.sampled_from(["normal", "unacknowledged"]))
    def ring(self, state: str) -> None:
        self.write(lambda c: alarms.add(c, AlarmRow(self.at, "x", "cold", state, 18.0, "", self.at)))

    @rule(back_s=st.integers(0, HOUR), vessel=st.sampled_from("xy"))
    def believe(self, back_s: int, vessel: str) -> None:
        self.write(lambda c: estimates.add(c, self.at - back_s, vessel, {"loss_ml": Estimate(1, 2, self.at)}))

    @rule()
    def hold(self) -> None:
        self.write(lambda c: letters.hold(c, self.at, "cold", "words", self.at, ["x"]))

    @rule()
    def post(self) -> None:
        held = letters.in_state(self.store.connection, "held")
        if held:
            number = letters.next_number(self.store.connection)
            self.write(lambda c: letters.write(c, held[0].id, ["x"], "words", b"words", number, self.at))
            self.write(lambda c: deliveries.queue(c, held[0].id, ["mail", "webhook"], self.at))

    @rule()
    def carry(self) -> None:
        waits = deliveries.queued(self.store.connection, "mail")
        if waits:
            self.write(lambda c: deliveries.put_off_all(c, waits[0], self.at + 60, "no such host"))
            self.write(lambda c: deliveries.sent(c, waits[0], self.at))

    @rule(back_s=st.integers(1, 5 * HOUR), step_s=st.sampled_from([-7200, -100, 90, 3600, 2 * DAY]))
    def put_clock_right(self, back_s: int, step_s: int) -> None:
        began, ended = self.at - back_s, self.at + 1
        self.write(lambda c: correct_times(c, began, ended, step_s))
        self.at += max(step_s, 0)

    @rule(pick=st.integers(0, 9), damaged=st.booleans())
    def spoil(self, pick: int, damaged: bool) -> None:
        """A row that cannot be true is set aside; a damaged table is written anew without it."""
        connection = self.store.connection
        known = connection.execute("SELECT id FROM deed").fetchall()
        if known:
            connection.execute("PRAGMA ignore_check_constraints = ON")
            connection.execute("UPDATE deed SET amount = 1e300 WHERE id = ?", known[pick % len(known)])
            connection.execute("PRAGMA ignore_check_constraints = OFF")
            self.receive_all()
            self.mend(frozenset({"deed"} if damaged else ()))

    def mend(self, damaged: frozenset[str]) -> None:
        self.store.connection.execute("PRAGMA foreign_keys = OFF")
        self.write(lambda c: set_aside_spoiled(c, damaged, {}, lambda _message: None))
        self.store.connection.execute("PRAGMA foreign_keys = ON")

    @rule()
    def wipe(self) -> None:
        self.write(blank)

    @rule()
    def thin(self) -> None:
        self.write(lambda c: thin_stretch(c, self.at - HOUR), untold=True)

    @rule()
    def send(self) -> None:
        with self.store.transaction() as connection:
            boxes = outbox.due(connection, self.at, {n for n, *_ in self.line}, MOST)
            known = content(connection)
            outbox.mark_sent(connection, [box.n for box in boxes])
        self.line += [(box.n, (box.kind, box.key), known.get((box.kind, box.key))) for box in boxes]

    @precondition(lambda self: self.line)
    @rule(pick=st.integers(0, 30), again=st.booleans())
    def arrive(self, pick: int, again: bool) -> None:
        """In any order, some twice; the receipt is under way then."""
        n, key, said = self.line[pick % len(self.line)] if again else self.line.pop(pick % len(self.line))
        self.centre.take(n, key, said)
        self.receipts.append(n)

    @rule(change=st.sampled_from(["read", "withdraw", "believe", "carry", "post", "wipe"]))
    def change_what_is_under_way(self, change: str) -> None:
        """Then the receipts for what was sent before come."""
        self.receive_all()
        self.read(0, "a", 20.0)
        self.believe(0, "x")
        self.do("x", "note")
        self.send()
        said = {"read": (1, "b", 21.5), "withdraw": (0,), "believe": (1, "y")}.get(change, ())
        getattr(self, change)(*said)
        while self.line:
            self.arrive(0, False)
        while self.receipts:
            self.receive(0, False)

    def receive_all(self) -> None:
        self.send()
        while self.line:
            self.arrive(0, False)
        while self.receipts:
            self.receive(0, False)

    @rule()
    def lose(self) -> None:
        self.line.clear()
        self.receipts.clear()

    @precondition(lambda self: self.receipts)
    @rule(pick=st.integers(0, 30), again=st.booleans())
    def receive(self, pick: int, again: bool) -> None:
        n = (
            self.receipts[pick % len(self.receipts)]
            if again
            else self.receipts.pop(pick % len(self.receipts))
        )
        with self.store.transaction() as connection:
            outbox.forget(connection, [n], self.at)

    @rule()
    def start_anew(self) -> None:
        self.line.clear()
        begin(self.store, self.at)
        self.at += 1

    @rule()
    def back_up(self) -> None:
        if self.backup is not None:
            self.backup.close()
        self.backup = sqlite3.connect(":memory:")
        self.store.connection.backup(self.backup)

    @precondition(lambda self: self.backup is not None)
    @rule()
    def put_backup_back(self) -> None:
        """The centre goes on knowing what this store has forgotten, until the store tells something else."""
        assert self.backup is not None
        self.backup.backup(self.store.connection)
        self.line.clear()
        begin(self.store, self.at)
        self.at += 1
        self.untold = dict.fromkeys(self.centre.knows.keys() | content(self.store.connection).keys())

    @invariant()
    def what_is_not_owed_is_known(self) -> None:
        still, knows = owed(self.store.connection), content(self.store.connection)
        for key in knows.keys() | self.centre.knows.keys():
            if key not in still and key not in self.untold:
                assert self.centre.knows.get(key) == knows.get(key), key


Life.TestCase.settings = settings(max_examples=60, stateful_step_count=40, deadline=None)
TestLife = Life.TestCase


def test_without_a_centre_nothing_is_owed_and_there_is_no_trigger(store: WritingStore) -> None:
    with store.transaction() as connection:
        readings.add(connection, [Reading(BEGAN, "a", 20.0, Quality.GOOD)])
        thin_stretch(connection, BEGAN + 30 * DAY)
    assert owed(store.connection) == set()
    assert outbox.waiting(store.connection) is None
    kinds = {kind for (kind,) in store.connection.execute("SELECT type FROM sqlite_master")}
    assert "trigger" not in kinds
    assert not store.connection.execute("SELECT * FROM outbox_to").fetchall()


def test_an_hour_has_one_box_and_a_minute_does_not_renumber_it(store: WritingStore) -> None:
    begin(store)
    for minute in range(60):
        with store.transaction() as connection:
            readings.add(connection, [Reading(BEGAN + 60 * minute, "a", 20.0, Quality.GOOD)])
    assert owed(store.connection) == {("hour", BEGAN)}
    assert numbers(store.connection) == [BEGAN * 1000 + 1]


def test_what_changes_after_it_was_sent_is_owed_under_a_higher_number(store: WritingStore) -> None:
    begin(store)
    with store.transaction() as connection:
        deeds.add(connection, Deed(BEGAN, "x", "stir"), BEGAN)
        deeds.withdraw(connection, 1, BEGAN + 1)
    (waiting,) = numbers(store.connection)
    with store.transaction() as connection:
        outbox.mark_sent(connection, [waiting])
        deeds.add(connection, Deed(BEGAN, "y", "stir"), BEGAN)
        connection.execute("UPDATE deed SET withdrawn_at = NULL WHERE id = 1")
        outbox.forget(connection, [waiting], BEGAN)
    assert owed(store.connection) == {("deed", 1), ("deed", 2)}
    assert min(numbers(store.connection)) > waiting


def test_a_row_that_is_set_aside_is_owed_as_gone_also_where_its_table_is_written_anew(
    store: WritingStore,
) -> None:
    begin(store)
    for damaged in (frozenset[str](), frozenset({"deed"})):
        with store.transaction() as connection:
            connection.execute("PRAGMA ignore_check_constraints = ON")
            spoiled = deeds.add(connection, Deed(BEGAN, "x", "stir"), BEGAN)
            connection.execute("UPDATE deed SET amount = 1e300 WHERE id = ?", (spoiled,))
            connection.execute("PRAGMA ignore_check_constraints = OFF")
        receive_all(store)
        with store.transaction() as connection:
            set_aside_spoiled(connection, damaged, {}, lambda _message: None)
        assert owed(store.connection) == {("deed", spoiled)}


def test_an_hour_is_sent_once_it_is_over_and_never_while_the_clock_is_not_sure(store: WritingStore) -> None:
    begin(store)
    with store.transaction() as connection:
        readings.add(connection, [Reading(BEGAN + 60, "a", 20.0, Quality.GOOD)])
        deeds.add(connection, Deed(BEGAN + 70, "x", "stir"), BEGAN + 70)

    def kinds(until: int | None) -> list[str]:
        return [box.kind for box in outbox.due(store.connection, until, (), MOST)]

    assert kinds(BEGAN + HOUR - 1) == ["deed"]
    assert kinds(None) == ["deed"]
    assert kinds(BEGAN + HOUR) == ["deed", "hour"]


def test_what_stands_now_goes_before_hours_and_estimates_of_long_ago(store: WritingStore) -> None:
    begin(store)
    with store.transaction() as connection:
        readings.add(connection, [Reading(BEGAN + HOUR * i, "a", 20.0, Quality.GOOD) for i in range(50)])
        estimates.add(connection, BEGAN, "x", {"loss_ml": Estimate(1, 2, 3)})
        alarms.add(connection, AlarmRow(BEGAN, "x", "cold", "normal", None, "", None))
    first = outbox.due(store.connection, BEGAN + 90 * DAY, (), MOST)
    assert first[0].kind == "alarm"
    assert len(first) == MOST
    rest = outbox.due(store.connection, BEGAN + 90 * DAY, {box.n for box in first}, 2 * MOST)
    assert not {box.n for box in first} & {box.n for box in rest}
    assert len(first) + len(rest) == 52


def test_who_is_told_for_the_first_time_is_owed_how_things_stand_and_a_day(store: WritingStore) -> None:
    with store.transaction() as connection:
        for at in (BEGAN, BEGAN + 2 * DAY, BEGAN + 3 * DAY - 60):
            readings.add(connection, [Reading(at, "a", 20.0, Quality.GOOD)])
            deeds.add(connection, Deed(at, "x", "stir"), at)
            alarms.add(connection, AlarmRow(at, "x", "cold", "normal", None, "", None))
            estimates.add(connection, at, "x", {"loss_ml": Estimate(1, 2, 3)})
            letters.hold(connection, at, "cold", "words", at, ["x"])
    begin(store, BEGAN + 3 * DAY)
    late = {BEGAN + 2 * DAY, BEGAN + 3 * DAY - 60}
    hours = {("hour", at // HOUR * HOUR) for at in late}
    assert owed(store.connection) == {
        *hours,
        *(("estimate", at) for at in late),
        *(("deed", i) for i in (1, 2, 3)),
        ("alarm", 3),
    }
    receive_all(store)
    begin(store, BEGAN + 3 * DAY + 5)
    assert owed(store.connection) == set()
    begin(store, BEGAN + 3 * DAY, key="another")
    assert len(owed(store.connection)) == 8


def test_what_was_thinned_is_not_told_to_a_centre_that_comes_later(store: WritingStore) -> None:
    with store.transaction() as connection:
        readings.add(connection, [Reading(BEGAN + 60 * i, "a", 20.0, Quality.GOOD) for i in range(24 * 60)])
        thin_stretch(connection, BEGAN + 20 * HOUR)
        until = connection.execute("SELECT until FROM thinned").fetchone()[0]
    begin(store, BEGAN + DAY)
    hours = {key for kind, key in owed(store.connection) if kind == "hour"}
    assert hours
    assert min(hours) >= until


def test_thinning_waits_for_hours_that_are_owed_and_tells_nobody(store: WritingStore) -> None:
    begin(store)
    with store.transaction() as connection:
        readings.add(connection, [Reading(BEGAN + 60 * i, "a", 20.0, Quality.GOOD) for i in range(24 * 60)])
    with store.transaction() as connection:
        assert thin_stretch(connection, BEGAN + 30 * DAY) is None
    receive_all(store)
    with store.transaction() as connection:
        thinned = thin_stretch(connection, BEGAN + 30 * DAY)
    assert thinned is not None
    assert thinned.readings > 0
    assert owed(store.connection) == set()
    with store.transaction() as connection:
        readings.add(connection, [Reading(BEGAN + 5 * DAY, "a", 20.0, Quality.GOOD)])
    assert owed(store.connection) == {("hour", BEGAN + 5 * DAY)}


def test_a_store_put_back_from_a_backup_uses_no_number_again(store: WritingStore) -> None:
    begin(store)
    with store.transaction() as connection:
        deeds.add(connection, Deed(BEGAN, "x", "stir"), BEGAN)
    backup = sqlite3.connect(":memory:")
    store.connection.backup(backup)
    before = numbers(store.connection)
    backup.backup(store.connection)
    backup.close()
    begin(store, BEGAN + 5)
    assert min(numbers(store.connection)) > max(before)
    assert owed(store.connection) == {("deed", 1)}


def test_a_clock_that_is_behind_takes_no_number_back(store: WritingStore) -> None:
    begin(store, BEGAN + DAY)
    with store.transaction() as connection:
        deeds.add(connection, Deed(BEGAN, "x", "stir"), BEGAN)
    before = numbers(store.connection)
    begin(store, BEGAN)
    assert min(numbers(store.connection)) > max(before)


def test_a_store_is_numbered_once_for_good_whoever_is_told(store: WritingStore) -> None:
    begin(store)
    assert outbox.store_number(store.connection) is None
    outbox.give_store_number(store.connection, BEGAN + 7)
    with store.transaction() as connection:
        outbox.end(connection)
    begin(store, BEGAN + DAY, key="another")
    outbox.give_store_number(store.connection, BEGAN + DAY)
    assert outbox.store_number(store.connection) == BEGAN + 7


def test_who_tells_nobody_any_more_owes_nothing(store: WritingStore) -> None:
    begin(store)
    with store.transaction() as connection:
        deeds.add(connection, Deed(BEGAN, "x", "stir"), BEGAN)
        outbox.end(connection)
        deeds.add(connection, Deed(BEGAN, "y", "stir"), BEGAN)
    assert owed(store.connection) == set()
    assert outbox.waiting(store.connection) is None


def test_the_oldest_hours_and_estimates_are_given_up_and_nothing_else(store: WritingStore) -> None:
    begin(store)
    with store.transaction() as connection:
        for i in range(30):
            readings.add(connection, [Reading(BEGAN + i * HOUR, "a", 20.0, Quality.GOOD)])
            estimates.add(connection, BEGAN + i * HOUR + 1, "x", {"loss_ml": Estimate(1, 2, 3)})
            deeds.add(connection, Deed(BEGAN, "x", "stir"), BEGAN)
        assert outbox.give_up_oldest(connection, 90) == 0
        assert outbox.give_up_oldest(connection, 50) == 40
    left = owed(store.connection)
    assert len(left) == 50
    assert min(key for kind, key in left if kind != "deed") == BEGAN + 20 * HOUR
    assert sum(kind == "deed" for kind, _ in left) == 30
    with store.transaction() as connection:
        assert outbox.give_up_oldest(connection, 1) == 20
    assert len(owed(store.connection)) == 30


def test_that_boxes_are_given_up_is_news_once_until_there_was_room(store: WritingStore) -> None:
    def keep(at: int) -> bool:
        with store.transaction() as connection:
            return mishaps.keep_record_full(connection, at)

    assert [keep(BEGAN), keep(BEGAN + HOUR)] == [True, False]
    assert mishaps.record_full_since(store.connection) == BEGAN
    mishaps.forget_record_full(store.connection)
    assert mishaps.record_full_since(store.connection) is None
    assert keep(BEGAN + DAY)


def test_where_owed_boxes_were_spoiled_all_that_is_whole_is_told_again(store: WritingStore) -> None:
    with store.transaction() as connection:
        readings.add(connection, [Reading(BEGAN, "a", 20.0, Quality.GOOD)])
        letters.hold(connection, BEGAN, "cold", "words", BEGAN, ["x"])
        for state in ("unacknowledged", "normal"):
            alarms.add(connection, AlarmRow(BEGAN, "x", "cold", state, None, "", None))
    begin(store, BEGAN + 9 * DAY)
    receive_all(store)
    with store.transaction() as connection:
        deeds.add(connection, Deed(BEGAN, "x", "stir"), BEGAN)
    store.connection.execute("PRAGMA ignore_check_constraints = ON")
    store.connection.execute("UPDATE outbox SET kind = 'h?ur'")
    store.connection.execute("PRAGMA ignore_check_constraints = OFF")
    with store.transaction() as connection:
        set_aside_spoiled(connection, frozenset({"outbox"}), {}, lambda _message: None)
    begin(store, BEGAN + 9 * DAY)
    assert owed(store.connection) == {
        ("hour", BEGAN),
        ("letter", 1),
        ("alarm", 1),
        ("alarm", 2),
        ("deed", 1),
    }
