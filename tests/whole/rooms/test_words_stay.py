"""All that a broker gets of a recorded station is searched for what people wrote: none of it is there."""

import json
import queue
import sqlite3
import threading
import time
import zlib
from collections.abc import Iterator
from contextlib import closing, contextmanager
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path
from typing import Any

from paho.mqtt import client as mqtt
from paho.mqtt.enums import CallbackAPIVersion

from daemon.store import deliveries, letters
from daemon.store.file import WritingStore
from tests.kit.broker import needs_a_broker, served
from tests.kit.centre import centre, recorded_line
from tests.kit.command_line import PATIENCE_S, naupliad, until
from tests.kit.mail_server import free_port
from tests.kit.recordings import good, stamp, tape_rows, write_care, write_tape
from tests.kit.running_daemon import care, running
from tests.kit.station import post, station_text, table, zone_where_it_is

KEY = "q3-knot"
EVERY_S = 60
ROOM = "Zwirbelkammer"
TIN = "Zaunwinde-88"
NOTE = "Ottokarine tipped tea into the tray"
LATER = "Wendelgard wiped it up"
TROUBLE = (
    "Yolandine's tray runs dry",
    "Kunigunde has the key of the cupboard",
    "550 no such mailbox at zwirbelpost",
    "Sent late, since Philippine was ill",
)
ADDRESS = "caretaker@zwirbelpost.example"


class Everything:
    """Whoever may read all of a broker, from the first message on."""

    def __init__(self, port: int) -> None:
        self.heard: queue.SimpleQueue[tuple[str, bytes]] = queue.SimpleQueue()
        ready = threading.Event()
        self._client = mqtt.Client(CallbackAPIVersion.VERSION2, protocol=mqtt.MQTTv5)
        self._client.on_message = lambda *said: self.heard.put((said[2].topic, said[2].payload))
        self._client.on_connect = lambda client, *_: client.subscribe("#", qos=1)
        self._client.on_subscribe = lambda *_: ready.set()
        self._client.connect("127.0.0.1", port)
        self._client.loop_start()
        assert ready.wait(PATIENCE_S)

    def close(self) -> list[tuple[str, bytes]]:
        self._client.disconnect()
        self._client.loop_stop()
        found = []
        while not self.heard.empty():
            found.append(self.heard.get())
        return found


def station_of_a_night(folder: Path, port: int) -> tuple[Path, Path]:
    """Cold water since an hour, a letter about it, a deed and a note; its daemon has not begun yet."""
    now = int(time.time())
    last_at = now // 3600 * 3600 - 600
    began = last_at - 69 * EVERY_S
    text = station_text(
        name=ROOM, every_s=EVERY_S, zone=zone_where_it_is(20, now), attended=("Mon-Sun 06:00-23:00",)
    )
    config = folder / "station.toml"
    config.write_text(f"{text}\n{post(free_port(), to=[ADDRESS])}", "utf-8")
    tape = write_tape(folder / "tape.csv", tape_rows(began, 70, good(17.0), EVERY_S))
    log = write_care(
        folder / "care.csv",
        f"{stamp(began - 4 * 3600)},cup,set,0.05,g,salt_g_per_l=25;lot={TIN}",
        f"{stamp(began + 60)},cup,note,,,text={NOTE}",
    )
    said = naupliad("replay", tape, "--care", log, "--config", config, "--out", folder / "state")
    assert (said.code, said.err) == (0, "")
    keys = {"host": "localhost", "port": port, "security": "plain-on-loopback", "user": KEY, "record": True}
    with config.open("a", encoding="utf-8") as file:
        file.write("\n" + table("[mqtt]", **keys))
    return config, folder / "state"


def a_letter_in_trouble(state: Path) -> None:
    """As it stands when a mail server turned it away; nobody's daemon runs."""
    with closing(WritingStore(state)) as store, store.transaction() as connection:
        number, at = letters.next_number(connection), int(time.time())
        one = letters.hold(connection, at, "water", TROUBLE[0], at, ["cup"])
        message = f"Subject: {TROUBLE[0]}\nTo: {ADDRESS}\n\n{TROUBLE[1]}\n".encode()
        letters.write(connection, one, ["cup"], TROUBLE[0], message, number, at)
        deliveries.queue(connection, one, ["mail"], at)
        deliveries.park(connection, deliveries.queued(connection, "mail")[-1], TROUBLE[2])
        deliveries.set_note(connection, deliveries.of(connection, one)[0], TROUBLE[3])


def letters_of(store: sqlite3.Connection) -> Iterator[str]:
    """Subjects, and every line of more than a few words, of the letters that were written."""
    written = store.execute("SELECT id FROM letter WHERE number IS NOT NULL").fetchall()
    assert written
    for (number,) in written:
        read = message_from_bytes(letters.message(store, number), policy=policy.default)
        assert isinstance(read, EmailMessage)
        yield str(read["Subject"])
        body = read.get_body(("plain",))
        assert body is not None
        yield from (line.strip() for line in body.get_content().splitlines() if len(line.strip()) > 20)


@contextmanager
def _overheard(port: int) -> Iterator[list[tuple[str, bytes]]]:
    everything, heard = Everything(port), []
    yield heard
    heard += everything.close()


@needs_a_broker
def test_of_all_that_is_published_no_byte_says_what_a_person_wrote(tmp_path: Path) -> None:
    (tmp_path / "broker").mkdir()
    with (
        served(tmp_path / "broker", "allow_anonymous true\n") as broker,
        recorded_line(broker.port) as (port, sent),
        _overheard(broker.port) as heard,
        centre(broker.port),
    ):
        config, state = station_of_a_night(tmp_path, port)
        with running(config, state, hurried=True) as daemon:
            care(state, "add", "cup", "note", "--detail", f"text={LATER}")
            assert daemon.stop().code == 0
        a_letter_in_trouble(state)
        with running(config, state, hurried=True) as daemon:
            until(
                "nothing but hours is owed",
                lambda: not daemon.rows("SELECT 1 FROM outbox WHERE kind != 'hour'"),
            )
            assert daemon.stop().code == 0
        with closing(sqlite3.connect(f"file:{state}/station.db?mode=ro", uri=True)) as store:
            written = [*letters_of(store)]
    raw = b""
    while not sent.empty():
        raw += sent.get()
    boxes = [json.loads(zlib.decompress(said)) for topic, said in heard if topic == f"naupliad/{KEY}/box"]
    assert {"deed", "alarm", "estimate", "letter"} <= {box["kind"] for box in boxes}
    assert any(topic.startswith(f"naupliad/{KEY}/cup/") for topic, _ in heard), "the retained ones too"
    published = [raw, *(topic.encode() for topic, _ in heard), *(said for _, said in heard)]
    published += [zlib.decompress(said) for topic, said in heard if topic.endswith("/box")]
    assert len(written) > 5
    for word in (ROOM, TIN, NOTE, LATER, ADDRESS, *TROUBLE, *written):
        assert not found_in(published, word), word
    assert found_in(published, "salt_g_per_l"), "what is there it finds"


def found_in(published: list[bytes], word: str) -> list[Any]:
    """Where a word stands, in whatever case: as it is, in JSON's escapes, as part of a topic."""
    ways = {word, json.dumps(word)[1:-1], word.replace(" ", "-")}
    return [one for one in published for way in ways if way.casefold().encode() in one.lower()]
