"""A daemon whose record a centre keeps: killed at the worst moment, not answered, and switched off."""

import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

from daemon.config import read_station
from daemon.letters.conversions import setting
from daemon.letters.storage import mishaps
from daemon.page.site import make_site
from daemon.seconds import HOUR_S
from daemon.store import readings
from daemon.store.file import WritingStore
from sensors.reading import Quality, Reading
from tests.kit.broker import Served, needs_a_broker, served
from tests.kit.centre import Centre, centre, recorded_line
from tests.kit.command_line import naupliad, until
from tests.kit.mail_server import free_port
from tests.kit.page_station import main_of
from tests.kit.running_daemon import Running, care, running, somebody_there

KEY = "b4-77"


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Served]:
    (tmp_path / "broker").mkdir()
    with served(tmp_path / "broker", "allow_anonymous true\n") as running_broker:
        yield running_broker


def recorded(folder: Path, port: int, **more: object) -> Path:
    config = somebody_there(folder)
    keys = {"host": '"localhost"', "port": port, "security": '"plain-on-loopback"', **more}
    table = "".join(f"{name} = {value}\n" for name, value in keys.items())
    config.write_text(config.read_text("utf-8") + f"\n[mqtt]\n{table}", encoding="utf-8")
    return config


def known(keeps: Centre) -> set[int]:
    return {what[2] for what in keeps.kept if what[1] == "deed"}


def owed_for_good(daemon: Running) -> list[tuple[str, str]]:
    """What is owed but for the hours, the last of which are not over."""
    return daemon.rows("SELECT kind, key FROM outbox WHERE kind <> 'hour'")


@needs_a_broker
@pytest.mark.long
def test_a_daemon_that_is_killed_between_receipt_and_forgetting_loses_and_doubles_nothing(
    broker: Served, tmp_path: Path
) -> None:
    config, state = recorded(tmp_path, broker.port, record="true", user=f'"{KEY}"'), tmp_path / "state"
    with centre(broker.port) as keeps:
        for turn in range(3):
            answered = len(keeps.heard)
            with running(config, state, hurried=True) as daemon:
                care(state, "add", "cup", "stir")
                until("it is heard", lambda n=answered: len(keeps.heard) > n)  # type: ignore[misc]
                daemon.process.send_signal(signal.SIGKILL)
                daemon.process.communicate()
            # Written while nobody is there to send it, by a command.
            care(state, "add", "cup", "note", "--detail", f"text=turn {turn}")
        with running(config, state, hurried=True) as daemon:
            until("nothing is owed", lambda: not owed_for_good(daemon))
            ids = {i for (i,) in daemon.rows("SELECT id FROM deed")}
        assert known(keeps) == ids == {1, 2, 3, 4, 5, 6}
        of_deeds = [box for _, box in keeps.heard if box.kind == "deed"]
        assert len({(box.n, str(box.body)) for box in of_deeds}) == len({box.n for box in of_deeds})
        assert not [box for box in of_deeds if "turn" in str(box.body)]


@needs_a_broker
@pytest.mark.long
def test_who_switches_the_record_off_leaves_nothing_of_it(broker: Served, tmp_path: Path) -> None:
    state = tmp_path / "state"
    config = recorded(tmp_path, broker.port, record="true", user=f'"{KEY}"')
    with running(config, state) as daemon:
        care(state, "add", "cup", "stir")
        assert daemon.rows("SELECT 1 FROM sqlite_master WHERE type = 'trigger'")
    config = recorded(tmp_path, broker.port)
    with running(config, state) as daemon:
        care(state, "add", "cup", "stir")
        assert not daemon.rows("SELECT 1 FROM sqlite_master WHERE type = 'trigger'")
        assert not daemon.rows("SELECT 1 FROM outbox")


@needs_a_broker
def test_without_a_record_the_line_bears_what_it_always_bore(broker: Served, tmp_path: Path) -> None:
    with recorded_line(broker.port) as (port, sent):
        config, state = recorded(tmp_path, port), tmp_path / "state"
        with running(config, state) as daemon:
            until("something is published", lambda: sent.qsize() > 2)
            assert not daemon.rows("SELECT 1 FROM outbox UNION SELECT 1 FROM outbox_to")
    said = b""
    while not sent.empty():
        said += sent.get()
    assert said.startswith(CONNECT)
    kinds = [kind for kind, _ in packets(said)]
    # CONNECT, PUBLISH, PUBACK, PINGREQ, DISCONNECT (MQTT 5, 2.1.2): nobody subscribes.
    assert set(kinds) <= {1, 3, 4, 12, 14}
    retained = [flags & 1 for kind, flags in packets(said) if kind == 3]
    assert retained
    assert all(retained)


@needs_a_broker
def test_with_a_record_no_packet_of_the_daemon_bears_the_rooms_name(broker: Served, tmp_path: Path) -> None:
    with centre(broker.port) as keeps, recorded_line(broker.port) as (port, sent):
        config, state = recorded(tmp_path, port, record="true", user=f'"{KEY}"'), tmp_path / "state"
        with running(config, state):
            care(state, "add", "cup", "note", "--detail", "text=Small room is cold")
            until("it is heard", lambda: known(keeps) == {1})
    said = b""
    while not sent.empty():
        said += sent.get()
    # Names the client, its will and all its topics.
    assert b"naupliad-b4-77" in said
    assert b"naupliad/b4-77/cup/water_c" in said
    assert b"small" not in said.lower()
    assert "small" not in str(keeps.heard).lower()


# MQTT 5, 3.1, written out by hand: protocol MQTT 5; will, retained at QoS 1, clean start; keep alive 60 s; a
# session of an hour; client naupliad-small-room; its will.
_WILL = b'{"value": false}'
_VARIABLE = b"\x00\x04MQTT\x05\x2e\x00\x3c\x05\x11\x00\x00\x0e\x10"
_PAYLOAD = b"\x00\x13naupliad-small-room\x00\x00\x1anaupliad/small-room/online\x00\x10" + _WILL
CONNECT = b"\x10" + bytes([len(_VARIABLE + _PAYLOAD)]) + _VARIABLE + _PAYLOAD


def packets(said: bytes) -> Iterator[tuple[int, int]]:
    """Type and flags of each control packet (MQTT 5, 2.1)."""
    at = 0
    while at < len(said):
        kind, length, shift, at_length = said[at] >> 4, 0, 0, at + 1
        flags = said[at] & 15
        while True:
            length |= (said[at_length] & 127) << shift
            shift, at_length = shift + 7, at_length + 1
            if said[at_length - 1] < 128:
                break
        at = at_length + length
        yield kind, flags


def waiting_station(folder: Path, hours: int, boxes: int = 20_000) -> tuple[Path, Path]:
    """A station file, and a store for which a centre has not answered for so many hours."""
    config = recorded(folder, free_port(), record="true", user=f'"{KEY}"', record_boxes=boxes)
    state = folder / "state"
    with running(config, state):
        pass
    store = WritingStore(state)
    with store.transaction() as connection:
        (now,) = connection.execute("SELECT max(at) FROM reading").fetchone()
        for i in range(hours):
            readings.add(connection, [Reading(now - HOUR_S * i, "room-air", 20.0, Quality.GOOD)])
        connection.execute("UPDATE outbox_to SET answered_at = ?", (now - HOUR_S * hours,))
    store.close()
    return config, state


@pytest.mark.long
def test_a_centre_that_does_not_answer_for_a_day_is_spoken_of(tmp_path: Path) -> None:
    config, state = waiting_station(tmp_path, 20)
    quiet = naupliad("now", "--state", state)
    assert (quiet.code, "centre" in quiet.out) == (0, False)
    (tmp_path / "b").mkdir()
    config, state = waiting_station(tmp_path / "b", 30)
    said = naupliad("now", "--state", state)
    assert "entries of the record wait for the centre, which last answered" in " ".join(said.out.split())
    assert '"boxes_waiting": 3' in naupliad("now", "--state", state, "--json").out
    assert "entries of the record wait for the centre" in main_of(
        make_site(state).test_client().get("/station")
    )
    checked = naupliad("checkup", "--config", config, "--state", state)
    assert "as b4-77; 3" in checked.out
    assert "Ask whoever runs the centre" in " ".join(checked.out.split())


@pytest.mark.long
def test_of_a_record_that_is_full_one_letter_speaks_until_there_is_room(tmp_path: Path) -> None:
    config, state = waiting_station(tmp_path, 140, boxes=100)
    held = "SELECT id FROM letter WHERE subject = 'storage: record' OR kind = 'storage'"
    with running(config, state, hurried=True) as daemon:
        until("the oldest are given up", lambda: daemon.rows("SELECT count(*) FROM outbox")[0][0] <= 101)
        until("a letter is held", lambda: daemon.rows(held))
        beats = daemon.beats()
        until("some beats go by", lambda: daemon.beats() > beats + 3)
        assert len(daemon.rows(held)) == 1
    store = WritingStore(state)
    station, now = read_station(config), daemon.rows("SELECT max(at) FROM reading")[0][0]
    ((_, write),) = mishaps(station, store.connection, now)
    letter = write(setting(station, store.connection, now, clock_sure=True))
    store.close()
    assert letter.subject == "Record not collected, Small room"
    assert "The oldest hours are not kept for it any more." in " ".join(letter.text.split())
