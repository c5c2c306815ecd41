"""What people and programs ask of a station, as targets: lines to the inbox, words typed after a command."""

import json
import shutil
import socket
import sqlite3
import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from daemon.assembly import assemble
from daemon.care.log import deed_from_fields, format_detail, format_number
from daemon.errors import InputError
from daemon.inbox.listening import Inbox, Request
from daemon.letters.conversions import local
from daemon.requests.request_desk import RequestDesk
from daemon.station import Station
from daemon.store import deeds as deed_store
from daemon.store import shelved_alarms as shelf_store
from daemon.store.file import WritingStore, open_for_reading
from tests.kit.command_line import naupliad
from tests.kit.fuzz.spoiled import Target, is_one_clear_line_each, spoiled, spoiled_text, taken
from tests.kit.recordings import good, stamp, tape_rows, write_care, write_tape
from tests.kit.station import station, station_text

NOON = int(datetime(2027, 2, 12, 12, tzinfo=UTC).timestamp())
_DEED = {
    "at": NOON - 60,
    "vessel": "cup",
    "deed": "top-up",
    "amount": "18",
    "unit": "ml",
    "detail": "to=mark",
}
_ASKED: tuple[dict[str, Any], ...] = (
    {"ask": "record", **_DEED},
    {
        "ask": "record",
        **_DEED,
        "deed": "set",
        "amount": "0.05",
        "unit": "g",
        "detail": "lot=tin;salt_g_per_l=25",
    },
    {"ask": "record", **_DEED, "deed": "note", "amount": None, "unit": "", "detail": "text=a little milky"},
    {"ask": "correct", "id": 1, **_DEED},
    {"ask": "withdraw", "id": 1},
    {"ask": "shelve", "vessel": "cup", "condition": "cold", "until": NOON + 3600},
    {"ask": "out-of-service", "vessel": "cup", "condition": "hot"},
    {"ask": "take-back", "vessel": "cup", "condition": "hot"},
    {"ask": "quiet", "until": NOON + 86_400},
    {"ask": "post", "letters": [1, 2]},
    *({"ask": word} for word in ("acknowledge", "loud")),
)
# Values as JSON writes them; the parser makes an infinity of 1e400, and takes numbers no store holds.
_VALUES = (
    *(
        "null",
        "true",
        "0",
        "-1",
        "1.5",
        "1e400",
        "-1e400",
        "1e300",
        "NaN",
        "9" * 5000,
        "1" + "0" * 25,
        "-99999999999999",
    ),
    *(
        str(NOON),
        str(NOON + 10**9),
        str(-NOON),
        '""',
        '"1"',
        '"1e400"',
        '"\u0661"',
        '"\\u0000"',
        '"\\u001b[2J"',
        '"a\\nb"',
    ),
    *(
        "[]",
        "[1e400]",
        '["x"]',
        "[null]",
        "[[1]]",
        "{}",
        '{"a": 1}',
        f'"{"x" * 30_000}"',
        '"stir"',
        '"cup"',
        '"record"',
    ),
)
_FIELDS = (
    ("set", "0.05", "g", "lot=blue tin;salt_g_per_l=25;volume_ml=250;light=yes"),
    ("top-up", "31.5", "ml", "to=mark;above_ml=2"),
    ("salinity", "26.5", "g_per_kg", "with=hydrometer"),
    ("salinity", "1.018", "sg", "with=hydrometer;water_c=24;scale_c=25"),
    ("note", "", "", "text=a little milky; no=smell"),
    ("count", "40", "animals", "volume_ml=2;of_cysts=120"),
)
_MOMENTS = (
    *("2027-02-12T11:58:00+00:00", "11:30", "2027-02-12 11:00:00Z"),
    *("Fri 18:00", "yesterday 18:00", "2027-02-12 08:30"),
)
_AMOUNTS = ("18", "2.5e1", "18,5 ml", "1/2 tsp", "1½ tbsp")
_ENDS = ("monday", "tomorrow", "2027-02-22", "07:15", "2027-02-20T07:00:00+00:00")
# The commands that read a word a person typed; None stands for the word.
_COMMANDS: dict[str, tuple[tuple[str | None, ...], tuple[str, ...]]] = {
    "care add --at": (("care", "add", "--at", None, "cup", "stir"), _MOMENTS),
    "care add amount": (("care", "add", "--", "cup", "top-up", None), _AMOUNTS),
    "care correct": (("care", "correct", "--", None, "cup", "stir"), ("1",)),
    "care withdraw": (("care", "withdraw", "--", None), ("1", "2")),
    "care list --vessel": (("care", "list", "--vessel", None), ("cup",)),
    "quiet": (("quiet", "--", None), _ENDS),
    "alarms shelve": (("alarms", "shelve", "cup", "cold", "--until", None), _ENDS),
    "report": (("report", "--", None), ("2031-01-05",)),
    "plan cone --daily-at": (
        ("plan", "cone", *("--volume-ml", "900", "--cysts-g", "2", "--water-c", "27", "--daily-at"), None),
        ("08:30", "17:00"),
    ),
    "plan dose --hydrometer": (
        ("plan", "dose", *("--volume-ml", "200", "--hydrometer"), None),
        ("25/20", "g/mL 20", "ppt 25"),
    ),
    "post try": (("post", "try", "--", None), ("1",)),
}


@st.composite
def _other_values(draw: st.DrawFn) -> bytes:
    """A request with a key or two that are missing, of another request, or of another value."""
    words = {key: json.dumps(value) for key, value in draw(st.sampled_from(_ASKED)).items()}
    for _ in range(draw(st.integers(1, 2))):
        key = draw(st.sampled_from(sorted({key for asked in _ASKED for key in asked})))
        words[key] = draw(st.sampled_from(_VALUES))
        if draw(st.booleans()):
            del words[draw(st.sampled_from(sorted(words)))]
    return ("{" + ", ".join(f'"{key}": {value}' for key, value in words.items()) + "}\n").encode()


def word_targets(folder: Path) -> list[Target]:
    """Those that ask something of a station; its store is below `folder`."""
    room = station()
    fields = st.sampled_from(_FIELDS).flatmap(
        lambda told: st.tuples(*(st.one_of(st.just(word), spoiled_text([word])) for word in told))
    )
    lines = [json.dumps(words) + "\n" for words in _ASKED]
    asked = st.one_of(_other_values(), _other_values(), spoiled(lines))
    typed = st.sampled_from(sorted(_COMMANDS)).flatmap(
        lambda name: st.tuples(st.just(name), spoiled_text(_COMMANDS[name][1]))
    )
    return [
        Target("deed's fields", fields, partial(_fields, room)),
        Target("inbox", asked, _AtInbox(folder / "asked", room).meet, 0.5),
        Target("typed words", typed, partial(_typed, _left(folder / "left")), 0.3),
    ]


def _fields(room: Station, told: tuple[str, str, str, str]) -> bool:
    def read() -> None:
        deed = deed_from_fields(NOON, "cup", *told, room)
        amount = None if deed.amount is None else format_number(deed.amount)
        again = deed_from_fields(NOON, "cup", deed.deed, amount, deed.unit, format_detail(deed), room)
        assert again == deed

    return taken(read)


def desks_on(connection: sqlite3.Connection, room: Station) -> RequestDesk:
    """Who answers requests at noon."""
    desks = assemble(room, connection, NOON)
    desks.alarms.take_up(NOON)
    return desks.requests


class _AtInbox:
    """A line through the real socket to the real desks; what they did is undone before the next."""

    def __init__(self, folder: Path, room: Station) -> None:
        folder.mkdir()
        self._room = room
        self._store = WritingStore(folder, durable=False)
        self._path = folder / "inbox.socket"
        self._wake = threading.Event()
        self._inbox = Inbox(self._path, self._wake)

    def meet(self, line: bytes) -> bool:
        with socket.socket(socket.AF_UNIX) as client, ThreadPoolExecutor(1) as ear:
            client.settimeout(30.0)
            client.connect(str(self._path))
            client.sendall(line)
            client.shutdown(socket.SHUT_WR)
            hearing = ear.submit(lambda: client.makefile("rb").readlines())
            agreed = False
            while not hearing.done():
                if self._wake.wait(0.002):
                    self._wake.clear()
                    for request in self._inbox.requests():
                        agreed = self._answered(request) or agreed
        for said in hearing.result():
            told = json.loads(said)
            assert "error" not in told or is_one_clear_line_each(InputError(*told["error"].split("\n")))
        return agreed

    def _answered(self, request: Request) -> bool:
        """Whether the desks did it. Whatever they do but agree or refuse is the fault looked for."""
        connection = self._store.connection
        connection.execute("BEGIN")
        answer: dict[str, Any] = {"error": "no answer"}
        try:
            answer = desks_on(self._store.connection, self._room).answer(request.words, NOON, request.by)
            self._can_be_told()
        except InputError as refusal:
            answer = {"error": str(refusal)}
        finally:
            connection.rollback()
            request.answer(answer)
        return "error" not in answer

    def _can_be_told(self) -> None:
        """What was kept can be listed: every moment has a date."""
        for entry in deed_store.every(self._store.connection):
            local(self._room, entry.deed.at)
            assert 0 <= entry.deed.at <= NOON
        for shelf in shelf_store.standing(self._store.connection, NOON):
            assert shelf.until is None or local(self._room, shelf.until)


def _left(folder: Path) -> Path:
    """The state of a station that played one short morning."""
    folder.mkdir()
    (folder / "station.toml").write_text(station_text(), encoding="utf-8")
    tape = write_tape(folder / "tape.csv", tape_rows(NOON - 3600, 7, good(24.0), 600))
    care = write_care(folder / "care.csv", f"{stamp(NOON - 3500)},cup,set,0.05,g,salt_g_per_l=25")
    said = naupliad(
        "replay", tape, "--care", care, "--config", folder / "station.toml", "--out", folder / "state"
    )
    assert said.code == 0, said.err
    return folder / "state"


def _typed(left: Path, told: tuple[str, str]) -> bool:
    """A command with a spoiled word, on a copy of the state: done, or clear lines and nothing changed."""
    name, word = told
    if name == "report" and not word.strip():
        return False  # no word means the newest night, and a chart
    word = word.replace("\0", "")[:500]  # no argument can hold a NUL, and what is quoted stays short
    state = left.with_name("typed")
    shutil.rmtree(state, ignore_errors=True)
    shutil.copytree(left, state)
    command, *rest = _COMMANDS[name][0]
    group = [command] if command in ("quiet", "report") else [command, rest.pop(0)]
    line = [*group, "--state", str(state), *(word if part is None else part for part in rest)]
    before = _kept(state)
    said = naupliad(*(str(part) for part in line))
    assert said.code in (0, 1, 2), (line, said)
    if said.code:
        assert said.out == ""
        is_one_clear_line_each(InputError(*said.err.rstrip("\n").split("\n")))
        assert _kept(state) == before
    return said.code == 0


def _kept(state: Path) -> list[str]:
    """All that the store holds."""
    with closing(open_for_reading(state)) as connection:
        return list(connection.iterdump())
