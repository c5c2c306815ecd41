"""`naupliad export`: what it writes, what it says, what it refuses."""

import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from daemon.export.package import WRITTEN
from tests.kit.calendar_file import events_of
from tests.kit.command_line import Said, naupliad
from tests.kit.data_package import read_package
from tests.kit.exported_station import furnish
from tests.kit.recordings import good, tape_rows, unix, write_care, write_tape
from tests.kit.station import station_text
from tests.kit.undrawn import undrawn

pytestmark = pytest.mark.usefixtures("undrawn")


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("small")
    furnish(folder)
    return folder


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A day of a cup, as `naupliad replay` leaves it."""
    place = tmp_path_factory.mktemp("played")
    began = unix("2027-01-14T08:00:00+00:00")
    (place / "station.toml").write_text(station_text(every_s=600), encoding="utf-8")
    tape = write_tape(place / "tape.csv", tape_rows(began, 144, good(24.0), 600))
    care = write_care(place / "care.csv", "2027-01-14T09:00:00+00:00,cup,set,0.05,g,salt_g_per_l=25")
    with undrawn():
        said = naupliad(
            *("replay", tape, "--care", care, "--config", place / "station.toml", "--out", place / "state")
        )
    assert (said.code, said.err) == (0, "")
    return place / "state"


def export(state: Path, *words: str | Path) -> Said:
    return naupliad("export", "--state", state, *words)


def told(said: Said) -> Any:
    assert (said.code, said.err) == (0, "")
    return json.loads(said.out)


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def test_a_played_station_is_written_whole_and_described(played: Path, tmp_path: Path) -> None:
    said = export(played, "--out", tmp_path / "out")
    assert (said.code, said.err) == (0, "")
    _, tables = read_package(tmp_path / "out")
    assert names(tmp_path / "out") == set(WRITTEN)
    with closing(sqlite3.connect(played / "station.db")) as connection:
        for table in ("readings", "estimates", "deeds", "letters"):
            ((count,),) = connection.execute(f"SELECT count(*) FROM {table.removesuffix('s')}")
            assert len(tables[table]) == count
            assert f"{count} {table}" in said.out
    assert names(tmp_path) == {"out"}


def test_json_counts_what_was_written(small: Path, tmp_path: Path) -> None:
    ends = ["--out", tmp_path / "out", "--zip", tmp_path / "a.zip", "--calendar", tmp_path / "a.ics"]
    answer = told(export(small, *ends, "--json"))
    _, tables = read_package(tmp_path / "out")
    assert answer["tables"] == {
        "folder": str(tmp_path / "out"),
        "rows": {name: len(rows) for name, rows in tables.items()},
    }
    lesson = answer["lesson"]
    assert (lesson["vessel"], lesson["rows"]["deeds"], lesson["batch"]) == ("cup-1", 10, 11)
    assert answer["calendar"]["entries"] == len(events_of((tmp_path / "a.ics").read_bytes()))


def test_days_are_local_and_both_ends_are_within(small: Path, tmp_path: Path) -> None:
    # The day on which the clocks go back has 25 hours in Lisbon: 2026-10-24T23:00Z to 2026-10-26T00:00Z.
    export(small, "--out", tmp_path / "out", "--from", "2026-10-25", "--to", "2026-10-25")
    _, tables = read_package(tmp_path / "out")
    times = [row["at_utc"] for row in tables["readings"]]
    assert (min(times), max(times)) == (unix("2026-10-24T23:00:00+00:00"), unix("2026-10-25T23:50:00+00:00"))


def test_a_lesson_is_of_the_last_batch_or_of_one_by_its_number(played: Path, tmp_path: Path) -> None:
    for number, words in enumerate((("--batch", "last"), ("--batch", "1"), ("--vessel", "cup"), ())):
        path = tmp_path / f"{number}.zip"
        assert told(export(played, "--zip", path, *words, "--json"))["lesson"]["batch"] == 1
        with ZipFile(path) as packed:
            assert "cup-2027-01-14/README.txt" in packed.namelist()
            # replay draws the night it ends in
            assert [name for name in packed.namelist() if name.endswith(".png")]


def test_a_calendar_says_what_is_expected_of_the_batch(played: Path, tmp_path: Path) -> None:
    assert "entries" in export(played, "--calendar", tmp_path / "cup.ics").out
    titles = [event["SUMMARY"] for event in events_of((tmp_path / "cup.ics").read_bytes())]
    assert "Expected: leave letter" in titles
    assert any(title.startswith("cup: half hatched") for title in titles)


def refused(said: Said, *parts: str) -> None:
    """Exit code 2, one line: where, what was found, what is allowed."""
    assert (said.code, said.out, len(said.faults)) == (2, "", 1), said
    for part in (*parts, "found", "allowed: "):
        assert part in said.err


WRONG = {
    "nothing to write": ((), "export: found no --out, --zip or --calendar"),
    "a day without a table": (
        ("--zip", "a.zip", "--from", "2027-01-14"),
        "--from: found '2027-01-14' without",
    ),
    "a batch without a zip": (("--out", "o", "--batch", "1"), "--batch: found '1' without --zip"),
    "no day": (("--out", "o", "--from", "yesterday"), "--from: found 'yesterday'; allowed: a date such as"),
    "a day no station saw": (("--out", "o", "--to", "9999-12-31"), "--to: found '9999-12-31'"),
    "an end before its begin": (
        ("--out", "o", "--from", "2027-01-15", "--to", "2027-01-14"),
        "--to: found 2027-01-14, before --from 2027-01-15",
    ),
    "no vessel": (("--out", "o", "--vessel", "cup-3"), "--vessel: found 'cup-3' (did you mean cup-"),
    "no batch": (("--zip", "a.zip", "--batch", "99"), "--batch: found no batch '99'"),
    "a batch of another vessel": (
        ("--zip", "a.zip", "--batch", "11", "--vessel", "cup-2"),
        "--batch: found no batch '11' of cup-2",
    ),
    "a withdrawn batch": (("--zip", "a.zip", "--batch", "1"), "--batch: found no batch '1'"),
    "a vessel without any": (("--zip", "a.zip", "--vessel", "cup-2"), "found no batch 'last' of cup-2"),
    "a place that cannot be": (("--calendar", "/proc/no/a.ics"), "/proc/no/a.ics: found"),
    "a file for a folder": (("--out", "taken"), "taken: found a file; allowed: a folder"),
    "a folder for a file": (("--zip", "."), "found a folder; allowed: the path of a file"),
    "a file that stands": (
        ("--calendar", "taken"),
        "taken: found a file; allowed: another path, or --replace",
    ),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_wrong_use_is_refused_in_a_line_and_writes_nothing(
    small: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, wrong: str
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "taken").write_text("mine", encoding="utf-8")
    words, fault = WRONG[wrong]
    refused(export(small, *words), fault)
    assert names(tmp_path) == {"taken"}
    assert (tmp_path / "taken").read_text("utf-8") == "mine"


@given(
    st.sampled_from(["--from", "--to", "--vessel", "--batch"]),
    st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=100),
)
@example("--from", "2027-W01-1")
@example("--batch", "-1")
@example("--to", "1900-01-01")
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_whatever_is_typed_is_done_or_refused_in_a_line(
    small: Path, tmp_path: Path, option: str, word: str
) -> None:
    place = tmp_path / "out"
    end = ("--zip", place) if option == "--batch" else ("--out", place)
    said = export(small, *end, f"{option}={word}")
    if said.code:
        refused(said)
        assert names(tmp_path) == set()
    elif place.is_dir():
        read_package(place)
        shutil.rmtree(place)
    else:
        assert ZipFile(place).testzip() is None
        place.unlink()


def test_no_store_and_no_station_are_said_as_everywhere(tmp_path: Path) -> None:
    refused(export(tmp_path, "--out", tmp_path / "out"), "found no store")


def test_an_earlier_export_is_replaced_only_when_asked(small: Path, tmp_path: Path) -> None:
    ends = ["--out", tmp_path / "out", "--zip", tmp_path / "a.zip", "--calendar", tmp_path / "a.ics"]
    assert export(small, *ends).code == 0
    before = (tmp_path / "out" / "datapackage.json").read_bytes()
    refused(export(small, *ends, "--vessel", "cup-1"), "found an earlier export; allowed: another folder, or")
    refused(export(small, *ends[2:4]), "a.zip: found a file; allowed: another path, or --replace")
    assert (tmp_path / "out" / "datapackage.json").read_bytes() == before
    assert export(small, *ends, "--vessel", "cup-1", "--replace").code == 0
    _, tables = read_package(tmp_path / "out")
    assert {row["vessel"] for row in tables["deeds"]} == {"cup-1"}
    assert names(tmp_path) == {"out", "a.zip", "a.ics"}


def test_one_place_that_cannot_be_keeps_the_others_from_being_written(small: Path, tmp_path: Path) -> None:
    (tmp_path / "a.ics").write_text("mine", encoding="utf-8")
    refused(export(small, "--out", tmp_path / "out", "--calendar", tmp_path / "a.ics"), "a.ics: found a file")
    assert names(tmp_path) == {"a.ics"}


def test_the_store_is_only_read(small: Path, tmp_path: Path) -> None:
    before = (small / "station.db").read_bytes()
    assert export(small, "--out", tmp_path / "out", "--zip", tmp_path / "a.zip").code == 0
    assert (small / "station.db").read_bytes() == before
