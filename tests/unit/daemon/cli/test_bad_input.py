"""Wrong input to whole commands: one clear line a fault, exit code 2, nothing lost, nothing half-written."""

import shutil
from pathlib import Path

import pytest

from tests.kit.command_line import Said, naupliad
from tests.kit.recordings import good, stamp, tape_rows, unix, write_care, write_tape
from tests.kit.station import station_text
from tests.kit.undrawn import undrawn

pytestmark = pytest.mark.usefixtures("undrawn")

BEGAN = unix("2027-01-14T08:00:00+00:00")
HEADER = "time,probe,value,fault\n"
AT = "2027-01-14T08:00:00+00:00"
LATER = "2027-01-14T08:01:00+00:00"


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A folder with a good station, tape and care log."""
    furnish(tmp_path)
    return tmp_path


def furnish(place: Path) -> None:
    (place / "station.toml").write_text(station_text(), encoding="utf-8")
    write_tape(place / "tape.csv", tape_rows(BEGAN, 10, good(21.0)))
    write_care(place / "care.csv", f"{stamp(BEGAN)},cup,set,0.05,g,salt_g_per_l=25")


def replay(place: Path, *more: str | Path, tape: str = "tape.csv", care: str = "care.csv") -> Said:
    """`naupliad replay` of what lies there."""
    words = (place / tape, "--care", place / care, "--config", place / "station.toml", "--out", place / "out")
    return naupliad("replay", *words, *more)


def is_refused(said: Said, *faults: str) -> None:
    """Exit code 2, nothing on standard output, and one line for every fault: where, found, allowed."""
    assert (said.code, said.out) == (2, "")
    assert len(said.faults) == len(faults), said.err
    for line, wanted in zip(said.faults, faults, strict=True):
        assert wanted in line
        assert "found " in line
        assert "allowed" in line


def files(folder: Path) -> dict[str, bytes]:
    """All that lies there, but for the two files that SQLite puts beside a store that is read."""
    found = {str(p.relative_to(folder)): p.read_bytes() if p.is_file() else b"" for p in folder.rglob("*")}
    return {name: content for name, content in found.items() if not name.endswith(("-shm", "-wal"))}


# What is wrong with a tape, and the line (with what was found) that must be told.
WRONG_TAPES = {
    "an empty file": (b"", "tape.csv:1: found an empty file"),
    "a header only": (HEADER.encode(), "tape.csv:2: found no rows"),
    "another header": (b"when,what\n", "tape.csv:1: found the header 'when,what'"),
    "a NUL": (f"{HEADER}{AT},cup-water,2\0,\n".encode(), "tape.csv:2: found a NUL"),
    "bytes that are no text": (
        f"{HEADER}{AT},cup-water,".encode() + b"\xff,\n",
        "tape.csv:2: found the byte 0xff",
    ),
    "text in a number": (f"{HEADER}{AT},cup-water,warm,\n".encode(), "tape.csv:2: value: found 'warm'"),
    "a decimal comma": (f'{HEADER}{AT},cup-water,"21,5",\n'.encode(), "tape.csv:2: value: found '21,5'"),
    "NaN": (f"{HEADER}{AT},cup-water,nan,\n".encode(), "tape.csv:2: value: found 'nan'"),
    "infinity": (f"{HEADER}{AT},cup-water,inf,\n".encode(), "tape.csv:2: value: found 'inf'"),
    "a number past all bounds": (
        f"{HEADER}{AT},cup-water,1e999,\n".encode(),
        "tape.csv:2: value: found '1e999'",
    ),
    "a time without offset": (
        f"{HEADER}2027-01-14T08:00:00,cup-water,21,\n".encode(),
        "tape.csv:2: time: found",
    ),
    "rows out of order": (
        f"{HEADER}{LATER},cup-water,21,\n{AT},cup-water,21,\n".encode(),
        f"tape.csv:3: time: found {AT} after {LATER}",
    ),
    "an unknown probe": (f"{HEADER}{AT},pond,21,\n".encode(), "tape.csv:2: probe: found 'pond'"),
    "an unknown fault": (f"{HEADER}{AT},cup-water,,broken\n".encode(), "tape.csv:2: fault: found 'broken'"),
    "neither value nor fault": (f"{HEADER}{AT},cup-water,,\n".encode(), "tape.csv:2: value: found neither"),
    "a column too many": (f"{HEADER}{AT},cup-water,21,,\n".encode(), "tape.csv:2: found 5 columns"),
    "a quote that never closes": (
        f'{HEADER}{AT},"cup-water,21,\n'.encode(),
        "tape.csv:2: found a row that is no CSV",
    ),
}


@pytest.mark.parametrize("wrong", WRONG_TAPES)
def test_a_wrong_tape_is_refused_with_its_line(place: Path, wrong: str) -> None:
    content, fault = WRONG_TAPES[wrong]
    (place / "tape.csv").write_bytes(content)
    before = files(place)
    is_refused(replay(place), fault)
    assert files(place) == before


def test_every_wrong_row_is_told_the_first_ten_of_many(place: Path) -> None:
    rows = [f"{stamp(BEGAN + 60 * minute)},cup-water,hot," for minute in range(13)]
    write_tape(place / "tape.csv", rows)
    said = replay(place)
    assert said.code == 2
    assert [line.split(": ")[0].rsplit(":", 1)[1] for line in said.faults[:10]] == [
        str(n) for n in range(2, 12)
    ]
    assert said.faults[10:] == ["and 3 more"]


@pytest.mark.parametrize("change", ["a BOM", "CRLF", "both"])
def test_a_bom_and_crlf_are_taken(place: Path, change: str) -> None:
    for name in ("tape.csv", "care.csv"):
        content = (place / name).read_bytes()
        content = content if change == "a BOM" else content.replace(b"\n", b"\r\n")
        (place / name).write_bytes(content if change == "CRLF" else b"\xef\xbb\xbf" + content)
    said = replay(place)
    assert (said.code, said.err) == (0, "")
    assert "20 good readings of 20 expected" in said.out


WRONG_DEEDS = {
    "an unknown vessel": (f"{AT},bath,stir,,,", "vessel: found 'bath'"),
    "an unknown deed": (f"{AT},cup,dance,,,", "deed: found 'dance'"),
    "a wrong unit": (f"{AT},cup,top-up,20,l,", "unit: found 'l'"),
    "no amount": (f"{AT},cup,top-up,,ml,", "amount: found ''"),
    "an amount past the cup": (f"{AT},cup,top-up,9000,ml,", "amount: found '9000'"),
    "an unknown detail": (f"{AT},cup,top-up,20,ml,too=mark", "detail: found 'too'"),
    "a time without offset": ("2027-01-14 08:00:00,cup,stir,,,", "time: found"),
    # Ten years of guessed hours made 68 s between beats, and of salt what no water holds.
    "a set of ten years ago": (
        "2016-11-28T08:00:00+00:00,cup,set,0.05,g,",
        "time: found '2016-11-28T08:00:00",
    ),
    "a dose no cup takes": (f"{AT},cup,set,1200,g,", "amount: found '1200'; allowed: 0 to 25 g"),
}


@pytest.mark.parametrize("wrong", WRONG_DEEDS)
def test_a_wrong_care_log_is_refused_with_its_line(place: Path, wrong: str) -> None:
    row, fault = WRONG_DEEDS[wrong]
    write_care(place / "care.csv", row)
    before = files(place)
    is_refused(replay(place), f"care.csv:2: {fault}")
    assert files(place) == before


TEN_FAULTS = """
[station]
name = ""
timezone = "Europe/Lisboa"
attended = ["Mon-Fri 25:00-15:30"]
sample_every_s = 1
temperature_unit = "K"
colour = "blue"

[[probe]]
id = "cup-water"
measures = "water_k"
driver = "rehearsal"

[[vessel]]
id = "cup"
mark_ml = "250"
surface_cm2 = 38.5
low_ml = 40.0
probes = ["pond"]
cold_c = 31.0
hot_c = 30.0
"""


def test_a_station_file_with_ten_faults_has_all_ten_told_at_once(place: Path) -> None:
    (place / "station.toml").write_text(TEN_FAULTS, encoding="utf-8")
    before = files(place)
    said = replay(place)
    assert (said.code, said.out, len(said.faults)) == (2, "", 10)
    keys = (
        *("station.name", "station.timezone", "station.attended[1]", "station.sample_every_s"),
        *("station.temperature_unit", "station.colour", "probe[1].measures", "vessel[1].mark_ml"),
        *("vessel[1].probes[1]", "vessel[1].cold_c"),
    )
    for key in keys:
        (line,) = (line for line in said.faults if f" {key}: " in line)
        assert line.startswith(f"{place / 'station.toml'}: ")
        assert "allowed" in line
    assert files(place) == before


def test_a_file_that_is_something_else_altogether_is_told_in_its_first_faults(place: Path) -> None:
    nonsense = "".join(f"key{n} = {n}\n" for n in range(5000))
    (place / "station.toml").write_text(nonsense, encoding="utf-8")
    said = replay(place)
    assert (said.code, len(said.faults)) == (2, 41)
    assert said.faults[-1].startswith("and 49")


@pytest.mark.parametrize("command", [("run", "--state", "state"), ("probes",)])
def test_other_commands_refuse_a_wrong_station_file_alike(
    place: Path, monkeypatch: pytest.MonkeyPatch, command: tuple[str, ...]
) -> None:
    (place / "station.toml").write_text(TEN_FAULTS, encoding="utf-8")
    monkeypatch.chdir(place)
    before = files(place)
    said = naupliad(*command, "--config", "station.toml")
    assert (said.code, said.out, len(said.faults)) == (2, "", 10)
    assert files(place) == before


@pytest.mark.parametrize("missing", ["tape.csv", "care.csv", "station.toml"])
def test_a_missing_file_is_named(place: Path, missing: str) -> None:
    (place / missing).unlink()
    is_refused(replay(place), f"{place / missing}: found no such file")
    assert not (place / "out").exists()


@pytest.mark.parametrize("replaced", ["tape.csv", "care.csv", "station.toml"])
def test_a_folder_given_for_a_file_is_named(place: Path, replaced: str) -> None:
    (place / replaced).unlink()
    (place / replaced).mkdir()
    is_refused(replay(place), f"{place / replaced}: found a folder")
    assert not (place / "out").exists()


# Root, under which tests may run, writes everywhere but here.
@pytest.mark.parametrize("out", ["tape.csv", "tape.csv/out", "/proc/naupliad-out"])
def test_an_output_folder_that_cannot_be_written_is_refused_before_anything_is_played(
    place: Path, out: str
) -> None:
    before = files(place)
    is_refused(replay(place, "--out", place / out), str(place / out))
    assert files(place) == before


def test_an_output_folder_that_holds_a_run_asks_for_another_or_replace(place: Path) -> None:
    assert replay(place).code == 0
    before = files(place)
    is_refused(replay(place), "found an earlier run; allowed: another folder, or --replace")
    assert files(place) == before
    assert replay(place, "--replace").code == 0


def test_a_wrong_tape_leaves_the_run_it_should_have_replaced(place: Path) -> None:
    assert replay(place).code == 0
    before = files(place / "out")
    write_tape(place / "tape.csv", ["rubbish"])
    assert replay(place, "--replace").code == 2
    assert files(place / "out") == before


def test_an_unknown_story_is_refused_with_those_there_are(
    place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(place)
    before = files(place)
    is_refused(naupliad("rehearse", "lost-weekend"), "story: found 'lost-weekend'; allowed: above-the-mark, ")
    is_refused(naupliad("rehearse", "lost.toml"), "lost.toml: found no such file")
    assert files(place) == before


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that a play has written."""
    place = tmp_path_factory.mktemp("played")
    furnish(place)
    with undrawn():
        assert replay(place).code == 0
    return place / "out"


@pytest.fixture
def state(played: Path, tmp_path: Path) -> Path:
    """A state folder that a station has used, for one test."""
    return shutil.copytree(played, tmp_path / "state")


WRONG_CARE = {
    "an unknown vessel": (("bath", "stir"), "vessel: found 'bath'"),
    "an unknown deed": (("cup", "dance"), "deed: found 'dance'"),
    "an unknown deed with an amount": (("cup", "dance", "3"), "deed: found 'dance'"),
    "a wrong unit": (("cup", "top-up", "20", "--unit", "g"), "unit: found 'g'"),
    "text for an amount": (("cup", "top-up", "much"), "amount: found 'much'"),
    "an amount that is no number": (("cup", "top-up", "nan"), "amount: found 'nan'"),
    "no amount": (("cup", "top-up"), "amount: found ''"),
    "a detail that is none": (("cup", "stir", "--detail", "gently"), "detail: found 'gently'"),
    "a day without a time": (("cup", "stir", "--at", "2027-01-14"), "--at: found '2027-01-14'"),
    "a time that is none": (("cup", "stir", "--at", "noon"), "--at: found 'noon'"),
    "a time of day that is none": (("cup", "stir", "--at", "25:00"), "--at: found '25:00'"),
    "a time before all clocks": (("cup", "stir", "--at", "0001-01-01T00:00:00+00:00"), "--at: found"),
    "a time in the future": (
        ("cup", "stir", "--at", "2199-01-01T00:00:00+00:00"),
        "days ahead; allowed: now",
    ),
}


@pytest.mark.parametrize("wrong", WRONG_CARE)
def test_a_wrong_deed_is_refused_and_nothing_recorded(state: Path, wrong: str) -> None:
    words, fault = WRONG_CARE[wrong]
    before = naupliad("care", "list", "--all", "--json", "--state", state).out
    said = naupliad("care", "add", "--state", state, *words)
    assert (said.code, said.out, len(said.faults)) == (2, "", 1)
    assert fault in said.err
    assert naupliad("care", "list", "--all", "--json", "--state", state).out == before


def test_a_deed_that_is_not_there_can_be_neither_corrected_nor_withdrawn(state: Path) -> None:
    is_refused(naupliad("care", "withdraw", "--state", state, "99"), "deed 99: found no such deed")
    is_refused(
        naupliad("care", "correct", "--state", state, "99", "cup", "stir"), "deed 99: found no such deed"
    )
    assert naupliad("care", "withdraw", "--state", state, "1").code == 0
    is_refused(
        naupliad("care", "withdraw", "--state", state, "1"), "deed 1: found one that was withdrawn before"
    )


@pytest.mark.parametrize(
    ("night", "fault"),
    [
        ("2027-01-13", "found no readings for 2027-01-13"),
        ("2027-01-15", "found no readings for 2027-01-15"),
        ("2027-02-30", "night: found '2027-02-30'"),
        ("last", "night: found 'last'"),
    ],
)
def test_a_report_of_no_night_is_refused_and_makes_no_folder(
    state: Path, monkeypatch: pytest.MonkeyPatch, night: str, fault: str
) -> None:
    monkeypatch.chdir(state)
    before = files(state)
    is_refused(naupliad("report", night, "--state", state), fault)
    assert files(state) == before


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        (("--batch", "jar"), "--batch: found 'jar'; allowed: "),
        (("--batch", "cup", "--weekend"), "--batch: found --weekend beside it"),
        (("--batch", "cup", "2027-01-13"), "--batch: found a night beside it"),
        (("--weekend", "Sunday"), "night: found 'Sunday'"),
        (("--weekend", "2027-01-01"), "night: found no readings before 2027-01-01"),
        (("--format", "gif"), "--format: found 'gif'; allowed: png, svg, pdf"),
    ],
)
def test_a_report_of_a_span_that_is_none_is_refused_and_makes_no_folder(
    state: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], fault: str
) -> None:
    monkeypatch.chdir(state)
    before = files(state)
    is_refused(naupliad("report", *words, "--state", state), fault)
    assert files(state) == before


def test_a_report_into_a_place_that_cannot_be_written_is_refused(state: Path) -> None:
    is_refused(naupliad("report", "--state", state, "--out", state / "summary.json"), "summary.json")


@pytest.mark.parametrize("words", [("now",), ("report",), ("care", "list"), ("post", "list")])
def test_a_folder_without_a_store_is_refused_and_left_empty(tmp_path: Path, words: tuple[str, ...]) -> None:
    is_refused(naupliad(*words, "--state", tmp_path), f"{tmp_path / 'station.db'}: found no store")
    assert not [*tmp_path.iterdir()]


@pytest.mark.parametrize("words", [("now",), ("report",), ("care", "list"), ("care", "add", "cup", "stir")])
def test_a_store_that_is_no_database_is_told_in_one_line(tmp_path: Path, words: tuple[str, ...]) -> None:
    (tmp_path / "station.db").write_text("not a database, but long enough to look like one" * 100)
    said = naupliad(*words, "--state", tmp_path)
    assert (said.code, said.out, len(said.faults)) == (1, "", 1)
    assert str(tmp_path / "station.db") in said.err


@pytest.mark.parametrize(
    "words",
    [
        ("frobnicate",),
        ("rehearse", "--loud"),
        ("replay",),
        ("replay", "tape.csv"),
        ("rehearse", "long-weekend", "plain-weekend"),
        ("care", "add", "cup"),
        ("care", "withdraw", "first"),
        ("care", "add", "cup", "top-up", "-5"),
    ],
)
def test_wrong_use_ends_with_two_and_one_line(words: tuple[str, ...]) -> None:
    said = naupliad(*words)
    assert (said.code, said.out, len(said.faults)) == (2, "", 1)
    assert said.err.startswith("naupliad")


def test_every_command_explains_itself() -> None:
    for words in (
        (),
        ("rehearse",),
        ("replay",),
        ("run",),
        ("probes",),
        ("checkup",),
        ("now",),
        ("report",),
        ("care",),
        ("post",),
    ):
        said = naupliad(*words, "--help")
        assert (said.code, said.err) == (0, "")
        assert said.out.startswith("Usage: naupliad")


# The number is looked at before any file is, so nothing has to stand there.
@pytest.mark.parametrize(
    ("words", "line"),
    [
        (
            "experiment count K7 31 --hours abc",
            "experiment count: --hours: found 'abc'; allowed: a number in h",
        ),
        (
            "experiment count K7 31 --hours nan",
            "experiment count: --hours: found 'nan'; allowed: a number in h",
        ),
        ("experiment count K7 31 --of 5.5", "experiment count: --of: found '5.5'; allowed: a whole number"),
        (
            "experiment form --experiment x",
            "experiment form: --experiment: found 'x'; allowed: a whole number from 1",
        ),
        ("experiment discard 0", "experiment discard: EXPERIMENT: found '0'; allowed: a whole number from 1"),
        (
            "experiment discard 99999999999e9",
            "experiment discard: EXPERIMENT: found '99999999999e9'; allowed: a whole number from 1",
        ),
        (
            "experiment new --factor salt --levels 1;2 --cups x --of 5",
            "experiment new: --cups: found 'x'; allowed: a whole number",
        ),
        (
            "experiment new --factor salt --levels 1;2 --cups 4 --of 5 --seed -1",
            "experiment new: --seed: found '-1'; allowed: a whole number from 0 to 999999999",
        ),
        (
            "experiment result --csv x --hours 4,8h5",
            "experiment result: --hours: found '4,8h5'; allowed: a number in h",
        ),
        (
            "experiment aliquots 12 x --ml 5",
            "experiment aliquots: COUNTS: found 'x'; allowed: a whole number",
        ),
        ("experiment aliquots 12 --ml 5g", "experiment aliquots: --ml: found '5g'; allowed: a number in mL"),
        (
            "experiment power --levels 3 --cups 4 --of 50 --share most --difference 0.2",
            "experiment power: --share: found 'most'; allowed: a share, such as 0.8, 80 or 80%",
        ),
        ("lot withdraw one", "lot withdraw: ID: found 'one'; allowed: a whole number from 1"),
        ("plan kept --withdraw 0", "plan kept: --withdraw: found '0'; allowed: a whole number from 1"),
    ],
)
def test_an_option_that_is_no_number_gets_the_programs_own_line(words: str, line: str) -> None:
    is_refused(naupliad(*words.split()), line)


@pytest.mark.parametrize("ml", ["2,5", "2.5 mL"])
def test_a_decimal_comma_and_a_unit_are_taken_where_they_can_mean_one_thing(ml: str) -> None:
    words = "experiment", "aliquots", "12", "15", "9", "--ml"
    assert naupliad(*words, ml) == naupliad(*words, "2.5")
    assert naupliad(*words, ml).code == 0
