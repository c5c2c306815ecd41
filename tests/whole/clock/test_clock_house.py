"""A house with a clock that may be wrong: what it says meanwhile, and what it does when the clock is set."""

import re
from collections.abc import Iterator
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path
from typing import Any

import pytest

from daemon.clock_keeper import Keeper
from daemon.store import done_and_said, mishaps
from daemon.store.mishaps import CardFailure, Overlooked, SetAside
from tests.kit.unsure_machine import BEGAN, STATION, Machine

pytestmark = pytest.mark.usefixtures("undrawn")

_DOUBT = "clock may (?:be|have been) wrong|not known to be right"
HOUR_BEATS = 3600 // STATION.sample_every_s


@pytest.fixture
def machine(tmp_path: Path) -> Iterator[Machine]:
    made = Machine(tmp_path)
    made.run(4)
    yield made
    made.kill()


def rows(machine: Machine, query: str) -> list[tuple[Any, ...]]:
    assert machine.store is not None
    return machine.store.connection.execute(query).fetchall()


def text_of(message: bytes) -> str:
    read = message_from_bytes(message, policy=policy.default)
    assert isinstance(read, EmailMessage)
    body = read.get_body(("plain",))
    assert body is not None
    return " ".join(str(body.get_content()).split())


def set_right(machine: Machine, keeper: Keeper = Keeper.NETWORK) -> None:
    machine.error, machine.told = 0, keeper
    machine.run(1)


def test_letters_written_while_the_clock_is_not_sure_say_so_and_the_night_waits(machine: Machine) -> None:
    machine.off(600, -7200, Keeper.NOBODY)
    machine.run(36 * HOUR_BEATS)
    told = rows(machine, "SELECT kind, message FROM letter WHERE state = 'sent' ORDER BY number")
    kinds = [kind for kind, _ in told]
    assert kinds.count("nightly") == 1  # of the second night: after a day it goes all the same
    assert len(told) > 2
    for kind, message in told:
        assert re.search(_DOUBT, text_of(message)), kind


def test_no_letter_of_a_clock_that_is_sure_doubts_it(machine: Machine) -> None:
    machine.run(36 * HOUR_BEATS)
    told = rows(machine, "SELECT message FROM letter WHERE state = 'sent'")
    assert len(told) > 2
    assert not any(re.search(_DOUBT, text_of(m)) for (m,) in told)


def test_the_alarm_about_the_clock_rings_after_an_hour_and_clears_once_it_is_right(machine: Machine) -> None:
    machine.off(600, -7200, Keeper.NOBODY)
    machine.run(3 * HOUR_BEATS)
    states = "SELECT state FROM alarm WHERE condition = 'clock' ORDER BY id"
    assert rows(machine, states) == [("unacknowledged",)]
    set_right(machine)
    machine.run(2 * HOUR_BEATS)
    assert rows(machine, states) == [("unacknowledged",), ("returned to normal unacknowledged",)]


def test_a_night_missed_by_a_wrong_clock_is_told_when_it_is_set(machine: Machine) -> None:
    machine.off(600, -6 * 3600, Keeper.NOBODY)
    machine.run(round((20.5 - 9.75) * HOUR_BEATS))  # half past eight in the evening, truly
    assert not [kind for kind, _ in machine.sent if kind == "nightly"]
    set_right(machine)
    machine.run(1)
    assert [kind for kind, _ in machine.sent if kind == "nightly"] == ["nightly"]


def test_a_clock_found_right_without_a_step_leaves_no_night_out(machine: Machine) -> None:
    machine.off(600, 0, Keeper.NOBODY)
    machine.run(round((20.5 - 9.75) * HOUR_BEATS))
    set_right(machine)
    machine.run(1)
    assert [kind for kind, _ in machine.sent if kind == "nightly"] == ["nightly"]
    assert rows(machine, "SELECT count(*) FROM clock_step") == [(0,)]


def test_a_kill_between_the_setting_and_its_mending_changes_nothing(machine: Machine) -> None:
    machine.off(4000, -9000, Keeper.NOBODY)
    machine.run(5)
    machine.kill()
    set_right(machine)
    stored = [at for (at,) in rows(machine, "SELECT at FROM reading WHERE probe = 'room-air' ORDER BY at")]
    assert stored == machine.read


def test_a_failure_in_the_midst_of_mending_leaves_all_as_it_was(
    machine: Machine, monkeypatch: pytest.MonkeyPatch
) -> None:
    machine.off(4000, -9000, Keeper.NOBODY)
    machine.run(5)
    before = rows(machine, "SELECT * FROM reading ORDER BY at"), rows(machine, "SELECT * FROM boot")
    with monkeypatch.context() as broken:
        broken.setattr("daemon.letters.alarm_letters.AlarmLetters.due_anew", fails)
        with pytest.raises(OSError, match="pulled plug"):
            set_right(machine)
    assert (rows(machine, "SELECT * FROM reading ORDER BY at"), rows(machine, "SELECT * FROM boot")) == before
    machine.kill()
    machine.run(1)
    stored = [at for (at,) in rows(machine, "SELECT at FROM reading WHERE probe = 'room-air' ORDER BY at")]
    assert stored == machine.read


def test_what_was_said_and_what_befell_the_files_by_a_wrong_clock_gets_its_right_times(
    machine: Machine,
) -> None:
    machine.off(4000, -9000, Keeper.NOBODY)
    machine.run(5)
    assert machine.home is not None
    assert machine.store is not None
    now = machine.home.clock.now_s()
    machine.home.card_is_well(CardFailure("full", now - 1200), was_said=False)
    machine.home.overlook_file(Overlooked("/etc/naupliad/station.toml", ("one",)))
    with machine.store.transaction() as connection:
        mishaps.keep_set_aside(connection, SetAside("station.db.broken-2027-01-14", "torn", None), now)
        done_and_said.say_once(connection, "hatch", f"cup {now - 600}", now)
        done_and_said.say_once(connection, "urgent heat", f"cup {now - 600}", now)
    right = machine.true
    set_right(machine)
    assert rows(machine, "SELECT began, ended FROM card_failure") == [(right - 1200, right)]
    assert rows(machine, "SELECT at FROM station_file_fault") == [(right,)]
    assert rows(machine, "SELECT at FROM store_set_aside") == [(right,)]
    # Nobody told of a cup that was just set, so the time it was set at is one that a person gave.
    assert rows(machine, "SELECT what, about, at FROM said_once WHERE about LIKE 'cup %' ORDER BY what") == [
        ("hatch", f"cup {now - 600}", right),
        ("urgent heat", f"cup {right - 600}", right),
    ]


@pytest.mark.parametrize(("off_s", "stays"), [(5 * 3600, True), (7 * 3600, False)])
def test_an_absence_that_was_told_by_a_clock_hours_off_is_another_and_is_told(
    machine: Machine, off_s: int, stays: bool
) -> None:
    machine.off(600, off_s, Keeper.NOBODY)
    machine.run(5)
    assert machine.home is not None
    assert machine.store is not None
    with machine.store.transaction() as connection:
        done_and_said.say_once(connection, "leave", "some absence", machine.home.clock.now_s())
        done_and_said.begin_job(connection, "nightly", "some night", machine.home.clock.now_s())
    set_right(machine)
    assert bool(rows(machine, "SELECT 1 FROM said_once WHERE about = 'some absence'")) == stays
    assert not rows(machine, "SELECT 1 FROM job_run WHERE slot = 'some night'")


def fails(*_told: object) -> None:
    raise OSError("pulled plug")


@pytest.mark.parametrize(("off_s", "moved"), [(50, 0), (90, 90)])
def test_a_battery_clock_is_put_right_only_where_it_was_off_by_more_than_a_minute(
    machine: Machine, off_s: int, moved: int
) -> None:
    machine.off(1200, 0, Keeper.BATTERY)
    machine.error = -off_s
    machine.run(3)
    set_right(machine)
    assert rows(machine, "SELECT moved_s, trusted FROM boot ORDER BY rowid DESC LIMIT 1") == [(moved, 1)]
    assert rows(machine, "SELECT step_s FROM clock_step") == [(off_s,)]


def test_a_clock_set_by_hand_though_it_was_right_changes_nothing_stored(machine: Machine) -> None:
    before = rows(machine, "SELECT * FROM reading ORDER BY at, probe")
    machine.error = -1200  # two beats' times come again
    machine.run(4)
    after = rows(machine, "SELECT * FROM reading ORDER BY at, probe")
    assert set(before) <= set(after)
    assert len(after) == 2 * len(machine.read)


JUMPS = (1800, 2 * 3600, 2 * 86_400)


@pytest.mark.parametrize("keeper", [Keeper.NETWORK, Keeper.HOST])
@pytest.mark.parametrize("jump_s", JUMPS)
def test_a_clock_that_jumps_ahead_and_back_leaves_the_true_times_and_no_outage(
    machine: Machine, keeper: Keeper, jump_s: int
) -> None:
    machine.told = keeper
    for _ in range(2):
        machine.error = jump_s
        machine.run(5)
        machine.error = 0
        machine.run(5)
    assert [at for (at,) in rows(machine, "SELECT DISTINCT at FROM reading ORDER BY at")] == machine.read
    assert rows(machine, "SELECT * FROM outage") == []
    assert rows(machine, "SELECT * FROM letter WHERE kind = 'outage'") == []
    assert rows(machine, "SELECT step_s FROM clock_step") == [(jump_s,), (-jump_s,)] * 2
    assert rows(machine, "SELECT * FROM estimate WHERE at > " + str(machine.true)) == []
    stretches = rows(machine, "SELECT began, moved_s, restamped FROM boot WHERE moved_s <> 0")
    assert stretches == [(machine.read[4], -jump_s, 10), (machine.read[14], -jump_s, 10)]


@pytest.mark.parametrize("jump_s", JUMPS)
def test_a_clock_that_jumps_back_and_ahead_again_leaves_no_outage_and_loses_nothing(
    machine: Machine, jump_s: int
) -> None:
    for _ in range(2):
        machine.error = -jump_s
        machine.run(5)
        machine.error = 0
        machine.run(5)
    assert rows(machine, "SELECT * FROM outage") == []
    assert rows(machine, "SELECT count(*) FROM reading") == [(2 * len(machine.read),)]
    assert rows(machine, "SELECT max(at) FROM reading") == [(machine.read[-1],)]


@pytest.mark.parametrize("falls", ["there", "back"])
def test_a_jump_that_comes_while_the_daemon_is_started_again_is_known_for_what_it_is(
    machine: Machine, falls: str
) -> None:
    for error, way in ((7200, "there"), (0, "back")):
        if falls == way:
            machine.kill()
        machine.error = error
        machine.run(5)
    assert [at for (at,) in rows(machine, "SELECT DISTINCT at FROM reading ORDER BY at")] == machine.read
    assert rows(machine, "SELECT * FROM outage") == []


def test_an_outage_in_which_the_clock_was_set_is_as_long_as_it_was(machine: Machine) -> None:
    machine.kill()  # the process, not the machine
    machine.true += 3 * 3600
    machine.error = 7200
    machine.run(2)
    ((began, ended, _),) = rows(machine, "SELECT * FROM outage")
    assert ended - began == machine.read[4] - machine.read[3]


def test_a_clock_that_was_set_ahead_and_is_set_elsewhere_changes_nothing_stored(machine: Machine) -> None:
    machine.error = 7200
    machine.run(5)
    before = rows(machine, "SELECT * FROM reading ORDER BY at, probe")
    machine.error = 3600
    machine.run(1)
    assert set(before) <= set(rows(machine, "SELECT * FROM reading"))
    assert rows(machine, "SELECT * FROM boot WHERE moved_s <> 0") == []


def test_readings_of_a_start_that_never_learned_the_time_end_before_what_came_after(machine: Machine) -> None:
    machine.off(1200, 30 * 86_400, Keeper.NOBODY)
    machine.run(5)
    machine.off(1200, 0, Keeper.NETWORK)
    machine.run(2)
    stored = rows(machine, "SELECT at, value FROM reading WHERE probe = 'room-air' ORDER BY at")
    assert [value for _, value in stored] == sorted(value for _, value in stored)
    assert stored[-1][0] == machine.read[-1]
    assert stored[0][0] == BEGAN
    unsure = "SELECT count(*) FROM boot WHERE sure_at IS NULL AND trusted = 0"
    assert rows(machine, unsure) == [(1,)]
