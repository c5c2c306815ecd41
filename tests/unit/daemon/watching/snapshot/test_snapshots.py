"""Whatever happened at a station: one that starts from a snapshot goes on as if it had never stopped."""

import json
import logging
import sys
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import closing
from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.alarms.watch import Change
from daemon.assembly import assemble
from daemon.care.deed import Deed
from daemon.station import Station
from daemon.store import deeds as deed_store
from daemon.store import readings as reading_store
from daemon.store.boots import Boot
from daemon.store.boots import keep as keep_boot
from daemon.store.file import WritingStore
from daemon.store.time_correction import correct_times
from daemon.watching.beliefs import Beliefs
from daemon.watching.snapshot import file, past
from daemon.watching.snapshot.kept import Kept, tree_of
from daemon.watching.snapshot.snapshots import EVERY_S, Snapshots
from daemon.watching.trust_desk import TrustDesk
from sensors.reading import Quality, Reading
from tests.kit.station import probe, station, vessel

HOUR, DAY = 3600, 86_400
BEGAN = 1_806_000_000  # a day before Lisbon's clocks go forward
EVERY = 600
TWO = station(
    probe("cup-water"),
    probe("cone-water"),
    probe("air", "room_c"),
    probe("light", "light_lux"),
    probe("float", "float_low"),
    vessel("cup", "cup-water", "air", "light", lamp=["18:00-07:00"]),
    vessel("cone", "cone-water", "float", lamp=["18:00-07:00"], kind="cone", float_ml=30.0),
    every_s=EVERY,
)
SET = {
    vessel_id: Deed(BEGAN, vessel_id, "set", 0.05, {"salt_g_per_l": 25.0, "lot": "a"})
    for vessel_id in ("cup", "cone")
}


def none_taken(_changes: Iterable[Change], _at: int = 0) -> None:
    """For who need not hear."""


@dataclass
class Room:
    """A store, and what is believed and trusted by it; what happens does so in the daemon's own ways."""

    folder: Path
    with_snapshots: bool
    plan: Station = TWO
    now: int = BEGAN
    deed_ids: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.store = WritingStore(self.folder, durable=False)
        self.connection = self.store.connection
        self.start()
        for deed in SET.values():
            self.do(deed)

    def start(self, plan: Station | None = None) -> Kept | None:
        self.plan = plan or self.plan
        self.snapshots = Snapshots(self.folder, self.plan)
        kept = self.snapshots.found(self.connection, self.now) if self.with_snapshots else None
        desks = assemble(self.plan, self.connection, self.now, kept)
        self.beliefs = desks.beliefs
        watch = desks.alarms.watch
        self.trust = TrustDesk(self.plan, self.connection, self.beliefs, watch, none_taken, self.now, kept)
        return kept

    def stop(self) -> None:
        if self.with_snapshots:
            self.snapshots.take(self.connection, self.now, self.beliefs, self.trust)

    def read(self, count: int, water_c: float) -> None:
        for _ in range(count):
            self.now += EVERY
            lit = self.now % DAY >= 18 * HOUR or self.now % DAY < 7 * HOUR
            wave = (self.now // EVERY * 7919 % 13 - 6) / 32
            values = {
                "air": water_c - 2.0 - wave,
                "cone-water": water_c + wave / 2,
                "cup-water": water_c + 3.0 * lit + wave,
                "float": float(self.now % DAY < 9 * HOUR),
                "light": 2000.0 * lit,
            }
            self.trust.take(
                [Reading(self.now, probe, value, Quality.GOOD) for probe, value in values.items()]
            )

    def silence(self, count: int) -> None:
        self.now += EVERY * count

    def do(self, deed: Deed) -> None:
        self.deed_ids.append(deed_store.add(self.connection, deed, self.now))
        self.beliefs.take_in(deed, self.now)

    def withdraw(self, which: int) -> None:
        if self.deed_ids:
            entry = deed_store.withdraw(
                self.connection, self.deed_ids.pop(which % len(self.deed_ids)), self.now
            )
            self.beliefs.rebuild([entry.deed.vessel], self.now)

    def distrust(self, hours: int) -> None:
        since = self.now - hours * HOUR
        reading_store.requalify(self.connection, "cup-water", since, self.now, Quality.IN_AIR)
        self.beliefs.rebuild(["cup", "cone"], self.now)

    def mend_clock(self, hours: int, step_s: int) -> None:
        """What was written in the last hours was stamped `step_s` too early, by a start of its own."""
        began = self.now - hours * HOUR
        correct_times(self.connection, began, 2**40, step_s)
        self.now += step_s
        boot = Boot(f"boot-{self.now}", began + step_s, 0.0, trusted=True, moved_s=step_s, moved_at=self.now)
        keep_boot(self.connection, boot)
        self.beliefs.rebuild(["cup", "cone"], self.now)
        self.trust.take_up(self.now)

    def state(self) -> str:
        """All that is believed and known of the probes, to the last digit, as a digest of it."""
        parts = {**self.beliefs.parts(), **self.trust.parts()}
        told = {name: written_out(tree_of(part), []) for name, part in parts.items()}
        return sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()


def written_out(tree: Any, met: list[Any]) -> Any:
    """A tree in which what is met again is written out: whether two things are one says nothing of them."""
    if not isinstance(tree, list) or tree[0] == "given":
        return tree
    kind, *rest = tree
    if kind == "met":
        return met[rest[0]]
    if kind == "object":
        rest = [rest[0], {name: written_out(value, met) for name, value in rest[1].items()}]
    elif kind == "dict":
        rest = [[written_out(one, met) for one in pair] for pair in rest]
    elif kind != "enum":
        rest = [written_out(one, met) for one in rest]
    met.append([kind, *rest])
    return met[-1]


amounts = st.floats(1.0, 100.0)
deeds = st.sampled_from(
    [
        ("top-up", 15.0, {"to": "mark"}),
        ("top-up", 9.5, {}),
        ("brine", 20.0, {"salt_g_per_l": 60.0}),
        ("harvest", 30.0, {}),
        ("cover", 1.0, {}),
        ("first-swimmer", None, {}),
        ("hatched", 0.4, {}),
        ("count", 31.0, {"of_cysts": 60.0}),
        ("count", 31.0, {"volume_ml": 5.0}),
        ("count", 31.0, {"volume_ml": 5.0, "of_cysts": 900.0}),
        ("salinity", 31.0, {"with": "hydrometer"}),
        ("set", 0.1, {"lot": "a", "light": "no"}),
        ("end", None, {}),
    ]
)
reads = st.builds(lambda n, c: ("read", n, c), st.integers(1, 80), st.floats(16.0, 29.0))
steps = st.lists(
    st.one_of(
        reads,
        reads,
        st.builds(lambda n: ("silence", n), st.integers(1, 40)),
        st.builds(
            lambda v, d, back: ("do", v, d, back), st.sampled_from(["cup", "cone"]), deeds, st.integers(0, 40)
        ),
        st.builds(lambda n: ("withdraw", n), st.integers(0, 5)),
        st.builds(lambda h: ("distrust", h), st.integers(1, 30)),
        st.builds(lambda h, s: ("mend_clock", h, s), st.integers(1, 20), st.integers(1, 40_000)),
        st.just(("stop and start",)),
        st.just(("stop",)),  # and a power cut later
        st.just(("start",)),
    ),
    min_size=4,
    max_size=14,
)


def happen(room: Room, some: list[tuple[object, ...]]) -> None:
    for what, *words in [*some, ("read", 3, 22.0)]:
        if what == "do":
            vessel_id, (name, amount, detail), back = words
            room.do(Deed(max(BEGAN, room.now - back * 1800), vessel_id, name, amount, detail))
        elif room.with_snapshots and what in ("stop", "start", "stop and start"):
            for word in str(what).split(" and "):
                getattr(room, word)()
        elif what not in ("stop", "start", "stop and start"):
            getattr(room, str(what))(*words)


def holds(some: list[tuple[object, ...]]) -> None:
    with tempfile.TemporaryDirectory() as one, tempfile.TemporaryDirectory() as other:
        stopped, live = Room(Path(one), with_snapshots=True), Room(Path(other), with_snapshots=False)
        with closing(stopped.store), closing(live.store):
            happen(stopped, some)
            happen(live, some)
            assert stopped.state() == live.state()
            anew = Beliefs(TWO, live.connection, live.now)
            for vessel_id in ("cup", "cone"):
                for at in (live.now, live.now + 20 * HOUR):
                    told = [repr(b.estimates(vessel_id, at)) for b in (stopped.beliefs, live.beliefs, anew)]
                    assert told[0] == told[1] == told[2]
                grounds = [repr(b.of(vessel_id).grounds(live.now)) for b in (stopped.beliefs, anew)]
                assert grounds[0] == grounds[1]


@given(steps)
@settings(max_examples=8, deadline=None)
def test_fed_live_equals_read_anew_equals_gone_on_from_a_snapshot_to_the_last_digit(
    some: list[tuple[object, ...]],
) -> None:
    holds(some)


@pytest.mark.long
@given(steps)
@settings(max_examples=150, deadline=None)
def test_the_same_of_many_histories(some: list[tuple[object, ...]]) -> None:
    holds(some)


ALL = {"vessel cup", "vessel cone", "trust", "old hatches"}


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    room = Room(tmp_path, with_snapshots=True)
    room.read(60, 22.0)
    room.do(Deed(room.now, "cup", "count", 31.0, {"volume_ml": 5.0}))
    room.read(10, 22.0)
    yield room
    room.store.close()


def started(room: Room, plan: Station | None = None) -> set[str]:
    """What a start takes from the snapshot; that it makes no difference is held."""
    kept = room.start(plan)
    anew = Beliefs(room.plan, room.connection, room.now)
    for vessel_id in ("cup", "cone"):
        found = room.beliefs.estimates(vessel_id, room.now)
        assert repr(found) == repr(anew.estimates(vessel_id, room.now))
    return set() if kept is None else set(kept.lines)


def test_after_a_clean_stop_a_start_reads_nothing_anew(room: Room) -> None:
    room.stop()
    before = room.state()
    assert started(room) == ALL
    assert room.state() == before


def test_a_start_catches_up_with_what_came_since(room: Room) -> None:
    room.stop()
    room.read(30, 24.0)
    room.do(Deed(room.now - HOUR, "cup", "top-up", 15.0, {"to": "mark"}))
    before = room.state()
    assert started(room) == ALL
    assert room.state() == before


def test_a_deed_that_reaches_back_drops_its_vessel_alone(room: Room) -> None:
    room.stop()
    room.do(Deed(room.now - HOUR, "cup", "top-up", 15.0, {"to": "mark"}))
    assert started(room) == ALL - {"vessel cup"}


def test_a_deed_taken_back_drops_its_vessel_alone(room: Room) -> None:
    room.stop()
    room.withdraw(1)  # the cone's set
    assert started(room) == ALL - {"vessel cone"}


def test_a_distrust_that_reaches_back_drops_all_that_the_probe_feeds(room: Room) -> None:
    room.stop()
    room.distrust(2)  # of the cup's probe; the cone is its neighbour
    assert started(room) == {"old hatches"}


def test_a_distrust_drops_no_vessel_that_the_probe_does_not_feed(room: Room) -> None:
    room.stop()
    reading_store.requalify(room.connection, "float", room.now - HOUR, room.now, Quality.IN_AIR)
    assert started(room) == {"vessel cup", "old hatches"}


def test_a_clock_put_right_drops_all(room: Room) -> None:
    room.stop()
    room.mend_clock(2, 900)
    assert started(room) == set()


def test_a_value_that_somebody_changed_in_the_store_drops_what_it_feeds(room: Room) -> None:
    room.stop()
    room.connection.execute(
        "UPDATE reading SET value = value + 0.0625 WHERE probe = 'light' AND at = ?", (room.now,)
    )
    assert started(room) == {"vessel cone", "old hatches"}


def test_a_store_that_lacks_the_last_readings_as_a_backup_does_drops_all_they_fed(room: Room) -> None:
    room.stop()
    room.connection.execute("DELETE FROM reading WHERE at > ?", (room.now - HOUR,))
    assert started(room) == {"old hatches"}


def test_the_log_counts_the_parts_that_need_not_be_read_anew(
    room: Room, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.INFO, logger="daemon.watching.snapshot")
    room.stop()
    assert started(room) == ALL
    assert "start from a snapshot of" in caplog.text
    assert ": 3 of 3 parts" in caplog.text
    caplog.clear()
    room.connection.execute("DELETE FROM reading")  # a new store in the old one's place
    room.connection.execute("DELETE FROM deed")
    assert started(room) == {"old hatches"}
    assert caplog.text == ""


def test_another_station_file_drops_all(room: Room) -> None:
    room.stop()
    cup, cone = TWO.vessels
    assert started(room, replace(TWO, vessels=(replace(cup, rim_above_water_cm=3.0), cone))) == set()


def test_another_program_drops_all(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    room.stop()
    monkeypatch.setattr(sys, "version", "another")
    past.program.cache_clear()
    try:
        assert started(room) == set()
    finally:
        past.program.cache_clear()


def test_a_tree_that_cannot_be_read_is_read_anew_from_the_store(
    room: Room, caplog: pytest.LogCaptureFixture
) -> None:
    room.stop()
    head, *trees = map(file.said, file.read(room.folder))
    spoiled = dict(zip(head["keys"], trees, strict=True))
    spoiled["vessel cup"][2]["_water"] = ["object", "Popen", {"args": "true"}]
    spoiled["vessel cone"], spoiled["trust"] = ["list"], 5
    file.write(room.folder, [head, *spoiled.values()])
    assert started(room) == ALL
    assert "vessel cup: snapshot: found no state of ours" in caplog.text


@pytest.mark.parametrize(
    "lines",
    [
        [],
        [[]],
        ["x"],
        [{"at": 1}],
        [{"keys": {}}],
        [{"at": "1", "keys": {}}],
        [{"at": 2**60, "keys": {"trust": ""}}, 1],
        [{"at": 1, "keys": {"trust": ""}}],
        [{"at": 1, "keys": ["trust"]}, 1],
        [{"at": 1, "keys": {}}, 1],
    ],
)
def test_a_file_of_another_shape_is_as_none(room: Room, lines: list[object]) -> None:
    file.write(room.folder, lines)
    assert started(room) == set()


def test_while_the_clock_is_behind_what_was_read_nothing_is_kept(room: Room) -> None:
    room.snapshots.take(room.connection, room.now - 1, room.beliefs, room.trust)
    assert file.read(room.folder) == []


def doubted_neighbour(room: Room, *, silent: bool) -> None:
    """Trust takes back two hours of the cup's probe; the cone, whose neighbour it is, was read, or not."""
    began = room.now
    for _ in range(12):
        room.read(1, 24.0)
        if silent:
            room.connection.execute("DELETE FROM reading WHERE probe = 'cone-water' AND at > ?", (began,))
    reading_store.requalify(room.connection, "cup-water", began, room.now, Quality.IN_AIR)
    assert room.beliefs.revise("cup-water", began, room.now, room.now) == ["cup"]


def test_a_vessel_whose_neighbour_was_taken_back_is_not_kept_until_that_makes_no_difference(
    room: Room,
) -> None:
    doubted_neighbour(room, silent=False)
    room.stop()
    assert started(room) == ALL - {"vessel cone"}
    doubted_neighbour(room, silent=False)
    room.read(24, 23.0)
    room.stop()
    assert started(room) == ALL


def test_a_vessel_that_was_silent_while_its_neighbour_was_taken_back_is_not_kept(room: Room) -> None:
    doubted_neighbour(room, silent=True)
    room.read(24, 23.0)
    room.stop()
    assert started(room) == ALL - {"vessel cone"}


def test_a_belief_that_was_not_fed_all_there_is_is_not_kept(room: Room) -> None:
    then = room.now - 5 * EVERY + 1
    room.trust.take([Reading(then, "light", 2000.0, Quality.GOOD)])  # its clock went back
    room.stop()
    assert started(room) == ALL - {"vessel cup"}


def test_where_the_disk_takes_nothing_a_line_is_logged_and_all_goes_on(
    room: Room, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    snapshots = Snapshots(tmp_path / "gone", TWO)
    snapshots.take(room.connection, room.now, room.beliefs, room.trust)
    assert [record.levelno for record in caplog.records] == [logging.WARNING]
    assert "no snapshot was kept" in caplog.text


def test_it_is_due_some_hours_after_a_start_or_the_last_one(room: Room) -> None:
    assert not room.snapshots.is_due(room.now)
    assert not room.snapshots.is_due(room.now + EVERY_S - 1)
    assert room.snapshots.is_due(room.now + EVERY_S)
    room.now += EVERY_S
    room.stop()
    assert not room.snapshots.is_due(room.now + EVERY_S - 1)
    assert room.snapshots.is_due(room.now - 1)  # by a clock that was put back
