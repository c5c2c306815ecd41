"""Counts from a table on the page: looked over, kept whole or not at all, with the command's lines."""

import csv
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from werkzeug.test import TestResponse

from daemon.page.guard.answers import SESSION_COOKIE
from daemon.page.guard.sessions import form_token
from daemon.page.guard.visit import TOKEN_FIELD
from tests.kit.command_line import naupliad
from tests.kit.page_station import OWN, Room, cold_room, main_of

MAP = {
    "idea": "",
    "factor": "salt",
    "levels": "10; 25; 40",
    "cups": "4",
    "of": "50",
    "near": "window",
    "seed": "7",
}
# By that seed; see test_experiments.py.
LEVELS = {"10 g/L": "D4 F4 N3 X4", "25 g/L": "A4 F2 F3 H2", "40 g/L": "A3 H7 K2 R3"}
CODES = sorted(code for codes in LEVELS.values() for code in codes.split())


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    with cold_room(tmp_path) as room:
        room.post("/plan/experiment", **MAP)
        yield room


@pytest.fixture
def german(tmp_path: Path) -> Iterator[Room]:
    with cold_room(tmp_path, language="de") as room:
        room.post("/plan/experiment", **MAP)
        yield room


def sent(room: Room, table: bytes | str, name: str = "counts.csv") -> TestResponse:
    """What the page answers to a file."""
    raw = table if isinstance(table, bytes) else table.encode()
    cookie = room.client.get_cookie(SESSION_COOKIE)
    token = {} if cookie is None else {TOKEN_FIELD: form_token(cookie.value)}
    parts = [f'Content-Disposition: form-data; name="{key}"\r\n\r\n{value}' for key, value in token.items()]
    file = (
        f'Content-Disposition: form-data; name="table"; filename="{name}"\r\nContent-Type: text/csv\r\n\r\n'
    )
    before = "".join(f"--EDGE\r\n{part}\r\n" for part in parts) + f"--EDGE\r\n{file}"
    body = before.encode() + raw + b"\r\n--EDGE--\r\n"
    kind = "multipart/form-data; boundary=EDGE"
    return room.while_it_answers(
        lambda: room.client.post("/experiment/1/table", data=body, headers=OWN, content_type=kind)
    )


def kept(room: Room) -> list[tuple[str, int, int, float | None]]:
    stands = "FROM experiment_count WHERE withdrawn_at IS NULL ORDER BY code, id"
    return room.rows(f"SELECT code, hatched, cysts, hours {stands}")


def hidden(page: TestResponse) -> str:
    """The table that the view hands on."""
    html = page.get_data(as_text=True)
    return html.split('name="table" value="')[1].split('"')[0]


def full(mark: str = ",") -> str:
    return (
        "\r\n".join([mark.join(("cup", "of", "hatched")), *(mark.join((c, "50", "31")) for c in CODES)])
        + "\r\n"
    )


def test_a_table_is_looked_over_before_anything_of_it_is_kept(room: Room) -> None:
    seen = sent(room, full())
    assert seen.status_code == 200
    assert "The table has 12 counts. Nothing is kept yet." in main_of(seen)
    assert "g/L" not in main_of(seen)  # who counts does not see levels
    assert kept(room) == []
    done = room.post("/experiment/1/counts", table=hidden(seen))
    assert (done.status_code, done.headers["Location"]) == (303, "/experiment/1?table=12")
    assert [row[:3] for row in kept(room)] == [(code, 31, 50) for code in CODES]
    assert "Noted: 12 counts." in main_of(room.get("/experiment/1?table=12"))


def test_the_blank_form_is_filled_in_and_sent_back(room: Room) -> None:
    form = room.get("/experiment/1/form.csv")
    assert form.headers["Content-Disposition"] == 'attachment; filename="experiment-1-form.csv"'
    rows = list(csv.DictReader(form.get_data(as_text=True).splitlines()))
    assert [row["cup"] for row in rows] == CODES
    assert all((row["of"], row["hatched"], row["hours"]) == ("50", "", "") for row in rows)
    some = form.get_data(as_text=True).replace(f"{CODES[0]},50,,", f"{CODES[0]},50,7,")
    seen = sent(room, some)
    assert "The table has 1 count. Without a number:" in main_of(seen)
    room.post("/experiment/1/counts", table=hidden(seen))
    assert kept(room) == [(CODES[0], 7, 50, None)]


def test_a_german_spreadsheet_writes_semicolons_and_decimal_commas(german: Room) -> None:
    form = german.get("/experiment/1/form.csv").get_data(as_text=True)
    assert form.startswith("cup;of;hatched;hours\r\n")
    filled = "\ufeff" + form.replace(";50;;", ";50;9;47,5")
    seen = sent(german, filled.encode("utf-8"))
    assert seen.status_code == 200
    german.post("/experiment/1/counts", table=hidden(seen))
    assert kept(german) == [(code, 9, 50, 47.5) for code in CODES]


def test_who_counts_needs_nothing_but_code_and_number(room: Room) -> None:
    seen = sent(room, "cup,hatched,hours\nA3,9,24\nA4,8,24\n")
    room.post("/experiment/1/counts", table=hidden(seen))
    assert kept(room) == [("A3", 9, 50, 24.0), ("A4", 8, 50, 24.0)]


def test_how_warm_the_water_was_is_shown_and_kept(room: Room) -> None:
    seen = sent(room, "cup,of,hatched,hours,water_c\nA3,50,9,24,21.5\nA4,50,8,24,\n")
    assert "A3 9 50 24 21.5 °C" in main_of(seen)
    assert room.post("/experiment/1/counts", table=hidden(seen)).status_code == 303
    assert room.rows("SELECT code, water_c FROM experiment_count ORDER BY code") == [
        ("A3", 21.5),
        ("A4", None),
    ]
    room.post("/experiment/1", cup="A3", hatched="10", of="", hours="24", correct="yes")
    assert ("A3", 21.5) in room.rows("SELECT code, water_c FROM experiment_count WHERE withdrawn_at IS NULL")


def test_a_fault_is_said_in_the_page_s_language_with_its_line_and_column(german: Room) -> None:
    refused = sent(german, f"cup,of,hatched\n{CODES[0]},50,51\n")
    assert refused.status_code == 422
    assert "counts.csv:2" not in main_of(refused)
    assert "Zeile 2, hatched" in main_of(refused)


NASTY = {
    "another alphabet": (full().encode("utf-16"), "counts.csv:1: found a NUL byte"),
    "a NUL": (full().encode().replace(b"31", b"\0", 1), "counts.csv:2: found a NUL byte"),
    "an old alphabet": (
        b"level,cup,of,hatched\n10 \xb0C,A3,50,3\n",
        "counts.csv:2: found the byte 0xb0, which is not UTF-8",
    ),
    "nothing at all": (b"", "counts.csv:1: found an empty file"),
    "an empty first line": (b"\r\n" + full().encode(), "counts.csv:1: found the header ''"),
    "another header": (b"code,hatched\nA3,9\n", "counts.csv:1: found the header 'code,hatched'"),
    "a header alone": (b"cup,of,hatched\n", "counts.csv: found 0 counts; allowed: 1 to 400"),
    "a cup twice": (b"cup,of,hatched\nA3,50,9\na3,50,9\n", "counts.csv:3: found this cup a second time"),
    "no such cup": (
        b"cup,of,hatched\nZZ,50,9\n",
        "counts.csv:2: cup: found 'ZZ'; allowed: a code of the seat map",
    ),
    "another level": (
        b"level,cup,of,hatched\n10 g/L,A3,50,9\n",
        "counts.csv:2: level: found '10 g/L'; allowed: the level as it was set, or nothing",
    ),
    "another salt": (
        b"cup,of,hatched,salt_g_per_l\nA3,50,9,10\n",
        "counts.csv:2: salt_g_per_l: found 10; allowed: the salt as it was set, or nothing",
    ),
    "a decimal comma": (b"cup,of,hatched,hours\nA3,50,9,4,5\n", "counts.csv:2: found 5 columns; allowed: 4"),
    "half a number": (
        b"cup,of,hatched\nA3,50,9.5\n",
        "counts.csv:2: hatched: found '9.5'; allowed: a whole number",
    ),
    "more than there are": (
        b"cup,of,hatched\nA3,50,51\n",
        "counts.csv:2: hatched: found 51; allowed: 0 to 50",
    ),
    "quotes left open": (b'cup,of,hatched\n"A3,50,9\n', "counts.csv:2: found a row that is no CSV"),
    "a formula": (b"cup,of,hatched\n=1+1,50,9\n", "counts.csv:2: cup: found '=1+1'"),
    "a word of the page": (
        b"cup,of,hatched\n<script>alert(1)</script>,50,9\n",
        "counts.csv:2: cup: found '<SCRIPT>ALERT(1)</SCRIPT>'",
    ),
    "no text": (bytes(range(1, 9)) * 99, "counts.csv:1: found the header"),
    "a long line": (b"x" * 30_000, "counts.csv:1: found a line of more than 20000 bytes"),
    "hours for some": (
        b"cup,of,hatched,hours\nA3,50,9,24\nA4,50,9,\n",
        "counts.csv: found hours for some counts and none for others",
    ),
}


ENGLISH = re.compile(
    r"\b(found|allowed|which|nothing|this|the|only|behind|some|none|others|line|counts|such|closed)\b(?!\.csv)"
)
MORE = {
    "many faults": b"cup,hatched\n" + b"ZZ,9\n" * 12,
    "an empty line between": b"cup,of,hatched\nA3,50,9\n\nA4,50,9\n",
    "a column too many": b"cup,hatched\nA3,9,1\n",
    "no number of hours": b"cup,hatched,hours\nA3,9,soon\n",
    "too many hours": b"cup,hatched,hours\nA3,9,721\n",
    "a lost cup": b"cup,hatched,hours\nA4,9,24\n",
    "no hours beside counts with hours": b"cup,hatched\nH7,9\n",
    "another salt": b"cup,hatched,salt_g_per_l\nA3,9,11\n",
    "a field too long": b"cup,hatched\n" + b"A" * 2001 + b",9\n",
    "a cup of very many": b"cup,of,hatched\nA3,9999999,9\n",
}


@pytest.mark.parametrize(
    "table", [*(table for table, _ in NASTY.values()), *MORE.values()], ids=[*NASTY, *MORE]
)
def test_on_a_german_page_every_fault_of_a_table_is_said_in_german(german: Room, table: bytes) -> None:
    german.post("/experiment/1/lost", lost="A4")
    german.post("/experiment/1", cup="A3", hatched="9", hours="24")
    refused = sent(german, table)
    assert refused.status_code == 422
    faults = re.findall(r'<li class="wrong">(.*?)</li>', refused.get_data(as_text=True))
    assert faults
    for fault in faults:
        if re.fullmatch(r"und [0-9]+ weitere", fault):
            continue
        words = re.sub(r"&#39;.*?&#39;|\b(?:level|cup|of|hatched|hours|water_c|salt_g_per_l)\b", "", fault)
        assert "erlaubt" in words
        assert not ENGLISH.search(words), fault


@pytest.mark.parametrize("what", NASTY)
def test_of_a_table_with_a_fault_nothing_is_kept_and_each_fault_has_its_line(room: Room, what: str) -> None:
    table, line = NASTY[what]
    refused = sent(room, table)
    assert refused.status_code == 422
    assert line in main_of(refused)
    assert "<script>alert" not in refused.get_data(as_text=True).lower()
    assert kept(room) == []
    # Who sends the same as text, past the look, gets no further.
    again = room.post("/experiment/1/counts", table=table.decode("utf-8", "replace"))
    assert again.status_code == 422
    assert kept(room) == []


@pytest.mark.parametrize("what", NASTY)
def test_the_command_says_the_same_of_it(room: Room, tmp_path: Path, what: str) -> None:
    table, line = NASTY[what]
    (tmp_path / "counts.csv").write_bytes(table)
    state = room.folder
    said = naupliad("experiment", "counts", "--state", state, "--csv", tmp_path / "counts.csv")
    assert (said.code, len(said.faults)) == (2, 1)
    assert line in said.err


@pytest.mark.parametrize("rows", [10_000, 100_000])
def test_a_table_of_far_too_many_rows_is_told_how_much_is_taken(room: Room, rows: int) -> None:
    refused = sent(room, "cup,of,hatched\n" + "A3,50,9\n" * rows)
    assert refused.status_code == 413
    assert "at most 64 kB are taken" in main_of(refused)
    assert kept(room) == []


def test_ten_faults_are_said_and_the_rest_counted(room: Room) -> None:
    refused = sent(room, "cup,of,hatched\n" + "A3,50,x\n" * 400)
    assert main_of(refused).count("counts.csv:") == 10
    assert "and 390 more" in main_of(refused)


def test_no_file_is_asked_for_one(room: Room) -> None:
    assert "Choose a file first." in main_of(sent(room, b"", name=""))
    assert "Choose a file first." in main_of(room.post("/experiment/1/table"))
    assert "Choose a file first." in main_of(room.post("/experiment/1/table", table="cup,of,hatched"))


def test_other_numbers_are_replaced_only_by_who_says_so(room: Room) -> None:
    room.post("/experiment/1", cup="A3", hatched="5", of="", hours="")
    seen = sent(room, "cup,of,hatched\nA3,50,9\nA4,50,8\n")
    assert "Other numbers stand for some of these cups: A3: 5 of 50." in main_of(seen)
    refused = room.post("/experiment/1/counts", table=hidden(seen))
    assert refused.status_code == 400
    assert kept(room) == [("A3", 5, 50, None)]
    assert room.post("/experiment/1/counts", table=hidden(seen), correct="yes").status_code == 303
    assert kept(room) == [("A3", 9, 50, None), ("A4", 8, 50, None)]
    assert room.rows("SELECT count(*) FROM experiment_count WHERE withdrawn_at IS NOT NULL") == [(1,)]


def test_the_look_finds_what_the_records_stand_against(room: Room) -> None:
    room.post("/experiment/1/lost", lost="A4")
    assert "A4" not in room.get("/experiment/1/form.csv").get_data(as_text=True)
    seen = sent(room, "cup,of,hatched\nA3,50,9\nA4,50,8\n")
    assert seen.status_code == 422
    assert "A4: found a cup that is lost" in main_of(seen)
    room.post("/experiment/1", cup="A3", hatched="5", of="", hours="24")
    mixed = sent(room, "cup,of,hatched\nD4,50,9\n")
    assert mixed.status_code == 422
    assert "hours: found 1 count with hours and 1 without, with those that stand (look at A3)" in main_of(
        mixed
    )


def test_a_table_sent_twice_stands_once(room: Room) -> None:
    seen = hidden(sent(room, full()))
    for _ in range(2):
        assert room.post("/experiment/1/counts", table=seen).status_code == 303
    assert room.rows("SELECT count(*) FROM experiment_count") == [(12,)]


def test_without_the_pin_nothing_is_looked_at_and_the_blank_form_is_given(room: Room) -> None:
    room.signed_out()
    assert sent(room, full()).status_code == 403
    assert room.post("/experiment/1/counts", table=full()).status_code == 403
    assert 'type="file"' not in room.get("/experiment/1").get_data(as_text=True)
    assert room.get("/experiment/1/form.csv").status_code == 200
    assert kept(room) == []


def test_without_a_daemon_a_table_can_be_looked_over_and_says_that_it_is_not_kept(tmp_path: Path) -> None:
    with cold_room(tmp_path) as room:
        room.post("/plan/experiment", **MAP)
        assert room.inbox is not None
        room.inbox.close()
        room.inbox = None
        seen = sent(room, full())
        assert seen.status_code == 200
        assert room.post("/experiment/1/counts", table=hidden(seen)).status_code == 503
        assert kept(room) == []


@settings(max_examples=80, deadline=None)
@given(
    st.binary(max_size=200)
    | st.lists(
        st.lists(
            st.sampled_from(
                ["cup", "of", "hatched", "A3", "a4 ", "50", "9", "", "-1", '"', "\n", ";", "\ufeff"]
            ),
            max_size=5,
        ),
        max_size=5,
    ).map(lambda rows: ("cup,of,hatched\n" + "\n".join(",".join(row) for row in rows)).encode())
)
def test_whatever_is_sent_is_looked_over_or_refused(table: bytes) -> None:
    seen = sent(_ROOM[0], table)
    assert seen.status_code in (200, 422)
    assert kept(_ROOM[0]) == []


_ROOM: list[Room] = []


@pytest.fixture(autouse=True, scope="module")
def _room_for_all(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with cold_room(tmp_path_factory.mktemp("station")) as one:
        one.post("/plan/experiment", **MAP)
        _ROOM.append(one)
        yield
