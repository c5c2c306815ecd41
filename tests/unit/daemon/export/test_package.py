"""An export: what is in it is what stands in the store, described, whole or not there."""

import json
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest

from daemon.errors import InputError, NaupliadError
from daemon.estimates.quantile import Estimate
from daemon.export import package
from daemon.export.columns import DataTable
from daemon.export.package import check_out, write_folder, write_zip
from daemon.export.rows import ExportPart
from daemon.export.tables import TABLES
from daemon.export.units import MEASURES, QUANTITIES
from daemon.store import estimates as estimate_store
from daemon.store.file import WritingStore
from daemon.stored_station import open_station
from sensors.reading import Measure
from tests.kit.checkout import REFERENCE
from tests.kit.data_package import Rows, formulas, read_package
from tests.kit.exported_station import BEGAN, NOTES, furnish
from tests.kit.pages import rows as table_rows
from tests.kit.pages import words

MADE_AT = BEGAN + 2 * 86_400


@pytest.fixture(scope="module")
def state(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("state")
    furnish(folder)
    return folder


@pytest.fixture(scope="module")
def whole(state: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("made") / "out"
    write(state, out)
    return out


def write(state: Path, out: Path, part: ExportPart | None = None) -> dict[str, int]:
    station, connection = open_station(state)
    with closing(connection):
        return dict(write_folder(station, connection, part or ExportPart(), out, MADE_AT))


def part_of(state: Path, vessel: str, began: int, ended: int) -> ExportPart:
    station, connection = open_station(state)
    with closing(connection):
        return ExportPart(began, ended, station.vessel(vessel))


def stored(state: Path, query: str) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(f"file:{state}/station.db?mode=ro", uri=True)) as connection:
        return connection.execute(query).fetchall()


def cells(rows: Rows, *names: str) -> list[tuple[Any, ...]]:
    return [tuple(row[name] for name in names) for row in rows]


def test_readings_read_back_are_those_in_the_store(state: Path, whole: Path) -> None:
    _, tables = read_package(whole)
    read = cells(tables["readings"], "at_utc", "probe", "value", "quality")
    assert read == stored(state, "SELECT at, probe, value, quality FROM reading ORDER BY at, probe")
    assert cells(tables["readings"], "at_utc") == cells(tables["readings"], "at_local")


def test_estimates_read_back_are_those_in_the_store(state: Path, whole: Path) -> None:
    _, tables = read_package(whole)
    read = cells(tables["estimates"], "at_utc", "vessel", "quantity", "p10", "p50", "p90")
    query = "SELECT at, vessel, quantity, p10, p50, p90 FROM estimate ORDER BY vessel, quantity, at"
    assert read == stored(state, query)
    moments = [row for row in tables["estimates"] if row["unit"] == "s"]
    assert moments
    for row in moments:
        assert row["p50_utc"] == row["p50_local"] == round(row["p50"])
    assert all(row["p10_utc"] is None for row in tables["estimates"] if row["unit"] != "s")


def test_deeds_read_back_are_those_in_the_store_hostile_notes_too(state: Path, whole: Path) -> None:
    _, tables = read_package(whole)
    names = ("id", "at_utc", "vessel", "deed", "amount", "recorded_at_utc", "withdrawn_at_utc", "replaces")
    query = (
        "SELECT id, at, vessel, deed, amount, recorded_at, withdrawn_at, replaces FROM deed ORDER BY at, id"
    )
    assert cells(tables["deeds"], *names) == stored(state, query)
    notes = [row["detail"].removeprefix("text=") for row in tables["deeds"] if row["deed"] == "note"]
    assert tuple(notes) == NOTES


def test_letters_read_back_are_those_in_the_store_without_their_words(state: Path, whole: Path) -> None:
    _, tables = read_package(whole)
    names = ("id", "number", "at_utc", "kind", "subject", "state", "attempts", "due_at_utc", "merged_into")
    query = "SELECT id, number, at, kind, subject, state, attempts, due_at, merged_into FROM letter"
    assert cells(tables["letters"], *names) == stored(state, f"{query} ORDER BY id")
    about = [row["about"].split() if row["about"] else [] for row in tables["letters"]]
    assert about == [json.loads(row[0]) for row in stored(state, "SELECT about FROM letter ORDER BY id")]
    assert b"words" not in (whole / "letters.csv").read_bytes()


def test_what_only_old_records_know_is_told_by_its_name_alone(whole: Path) -> None:
    _, tables = read_package(whole)
    probes = {row["id"]: row for row in tables["probes"]}
    assert list(probes) == ["water-1", "water-2", "air", "long-gone"]
    assert (probes["air"]["unit"], probes["air"]["vessels"]) == ("°C", "cup-1 cup-2")
    assert {key for key, value in probes["long-gone"].items() if value is not None} == {"id"}
    vessels = {row["id"]: row for row in tables["vessels"]}
    assert list(vessels) == ["cup-1", "cup-2", "thrown-away"]
    assert vessels["cup-2"]["mark_ml"] == 250.0


def test_no_spreadsheet_program_finds_a_formula_whatever_it_takes_for_a_separator(whole: Path) -> None:
    assert {name: formulas((whole / name).read_bytes()) for name in ("deeds.csv", "letters.csv")} == {
        "deeds.csv": [],
        "letters.csv": [],
    }
    assert formulas(b'a;b\r\nx,"y; =1+1"\r\n') == [' =1+1"']  # this would be one


def test_every_row_ends_with_cr_lf_and_no_mark_stands_before_the_header(whole: Path) -> None:
    for table in TABLES:
        raw = (whole / table.file).read_bytes()
        assert raw.startswith(table.header[0].encode())
        assert raw.count(b"\n") == raw.count(b"\r\n")


def test_a_part_is_of_its_days_and_its_vessel(state: Path, tmp_path: Path) -> None:
    part = part_of(state, "cup-2", BEGAN + 3600, BEGAN + 7200)
    rows = write(state, tmp_path / "out", part)
    about, tables = read_package(tmp_path / "out")
    assert rows == {name: len(some) for name, some in tables.items()}
    assert {row["probe"] for row in tables["readings"]} == {"water-2", "air"}
    assert [min(times := [row["at_utc"] for row in tables["readings"]]), max(times)] == [
        BEGAN + 3600,
        BEGAN + 7200,
    ]
    assert {row["vessel"] for row in tables["estimates"]} == {"cup-2"}
    assert tables["deeds"] == []
    assert [row["kind"] for row in tables["letters"]] == ["nightly"]  # the water letter is of cup-1
    assert [row["id"] for row in tables["vessels"]] == ["cup-2"]
    refers = {one["name"]: one["schema"].get("foreignKeys", []) for one in about["resources"]}
    # What an entry replaced may lie outside of the part.
    assert [key["fields"] for key in refers["deeds"]] == ["vessel"]


def test_an_export_that_is_broken_off_leaves_nothing(
    state: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **_named: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(package, "descriptor", full)
    with pytest.raises(NaupliadError, match="No space left on device; allowed: a disk that takes it"):
        write(state, tmp_path / "out")
    assert list(tmp_path.iterdir()) == []


def test_what_replaces_an_export_leaves_it_as_it_was_where_the_disk_is_full(
    state: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    write(state, out, part_of(state, "cup-1", BEGAN, BEGAN + 600))
    before = {path.name: path.read_bytes() for path in out.iterdir()}

    def full(*_: object) -> Iterator[list[str]]:
        yield ["1"]
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(package.Rows, "letters", full)
    with pytest.raises(NaupliadError):
        write(state, out)
    assert {path.name: path.read_bytes() for path in out.iterdir()} == before


def test_what_a_daemon_writes_meanwhile_is_not_half_in_it(
    state: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    moving = Path(shutil.copytree(state, tmp_path / "state"))
    before = len(stored(moving, "SELECT 1 FROM estimate"))
    readings = package.Rows.readings

    def read_while_written(rows: package.Rows) -> Iterator[list[str]]:
        yield from readings(rows)
        with closing(WritingStore(moving, patience_s=0)) as store, store.transaction() as connection:
            estimate_store.add(connection, BEGAN + 90, "cup-1", {"loss_ml": Estimate(1, 2, 3)})

    monkeypatch.setattr(package.Rows, "readings", read_while_written)
    rows = write(moving, tmp_path / "out")
    assert rows["estimates"] == before
    assert len(stored(moving, "SELECT 1 FROM estimate")) == before + 1


def test_as_a_zip_it_holds_the_same_bytes(state: Path, whole: Path) -> None:
    file = BytesIO()
    station, connection = open_station(state)
    with closing(connection):
        write_zip(station, connection, ExportPart(), file, MADE_AT)
    with ZipFile(file) as packed:
        assert {name: packed.read(name) for name in packed.namelist()} == {
            path.name: path.read_bytes() for path in whole.iterdir()
        }


def test_a_folder_with_somebodys_own_file_is_not_touched(tmp_path: Path) -> None:
    (tmp_path / "thesis.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match=r"found 'thesis\.txt', which no earlier export wrote"):
        check_out(tmp_path, replace=True)


def test_every_measure_and_every_quantity_of_the_reference_has_a_unit() -> None:
    told = {words(row[0])[0]: row[1] for row in table_rows((REFERENCE / "estimates.md").read_text("utf-8"))}
    as_told = {"0–1": "1", "Unix s": "s", "mL a day": "mL/d"}
    assert {name: as_told.get(unit, unit) for name, unit in told.items()} == QUANTITIES
    assert set(MEASURES) == set(Measure)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_column_of_a_table_stands_on_its_page(table: DataTable) -> None:
    page = (REFERENCE / "export.md").read_text("utf-8")
    for column in table.header:
        assert f"`{column.removesuffix('_utc').removesuffix('_local')}`" in page
