"""One batch for a lesson, as a zip."""

import csv
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from io import BytesIO, StringIO
from pathlib import Path
from zipfile import ZipFile

import pytest

from daemon.errors import InputError
from daemon.export.lesson import COLUMNS, write_lesson
from daemon.export.units import MEASURES, QUANTITIES
from daemon.store.batches import BatchSpan, every
from daemon.stored_station import open_station
from sensors.reading import Quality
from tests.kit.data_package import formulas
from tests.kit.exported_station import BEGAN, NOTES, furnish

SET_AT = BEGAN + 120
NEWEST = BEGAN + 287 * 600


@pytest.fixture(scope="module")
def state(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("state")
    furnish(folder)
    charts = folder / "charts"
    charts.mkdir()
    for night in ("2026-10-23", "2026-10-25", "2026-10-26", "2026-11-09"):
        (charts / f"{night}.png").write_bytes(night.encode())
    return folder


def packed(state: Path, language: str = "en") -> bytes:
    station, connection = open_station(state)
    with closing(connection):
        (batch,) = every(connection, NEWEST)
        file = BytesIO()
        write_lesson(replace(station, language=language), connection, batch, state, file)
        assert not connection.in_transaction
    return file.getvalue()


@pytest.fixture(scope="module")
def lesson(state: Path) -> dict[str, bytes]:
    with ZipFile(BytesIO(packed(state))) as zipped:
        assert zipped.testzip() is None
        names = zipped.namelist()
        # Lisbon's date: the batch was set at 23:02 there.
        assert {name.split("/")[0] for name in names} == {"cup-1-2026-10-24"}
        return {name.partition("/")[2]: zipped.read(name) for name in names}


def table(raw: bytes) -> list[dict[str, str]]:
    assert raw.startswith(b"\xef\xbb\xbf")
    return list(csv.DictReader(StringIO(raw.decode("utf-8-sig"), newline=""), strict=True))


def test_it_holds_the_batch_and_the_charts_of_its_nights(lesson: dict[str, bytes]) -> None:
    tables = [f"{name}.csv" for name in COLUMNS]
    assert list(lesson) == [*tables, "charts/2026-10-25.png", "charts/2026-10-26.png", "README.txt"]
    assert lesson["charts/2026-10-25.png"] == b"2026-10-25"


def test_its_readings_are_true_ones_of_the_vessels_own_probes(lesson: dict[str, bytes]) -> None:
    readings = table(lesson["readings.csv"])
    assert {row["probe"] for row in readings} == {"water-1", "air"}
    water = [row for row in readings if row["probe"] == "water-1"]
    assert len(water) == 287  # every ten minutes as they were read, without the one before it was set
    assert (water[0]["hours_since_set"], water[0]["value"], water[0]["at_utc"]) == (
        "0.13",
        "24.001",
        "2026-10-24T22:10:00Z",
    )
    assert [row["quality"] for row in readings if row["probe"] == "air" and not row["value"]] == [
        "absent"
    ] * 6


def test_its_estimates_are_rounded_and_moments_can_be_read(lesson: dict[str, bytes]) -> None:
    estimates = table(lesson["estimates.csv"])
    first = next(row for row in estimates if row["quantity"] == "loss_ml")
    assert (first["hours_since_set"], first["p10"], first["p50"], first["p90"]) == (
        "0.97",
        "-1.5",
        "0.3",
        "0.333",
    )
    half = next(row for row in estimates if row["quantity"] == "hatch_t50")
    # An hour after the begin plus two hours, and by then Lisbon's clocks went back from +01:00.
    assert (half["p50"], half["p50_local"]) == (str(BEGAN + 3 * 3600), "2026-10-25T01:00:00+00:00")


def test_its_deeds_are_those_that_stand_and_no_note_is_a_formula(lesson: dict[str, bytes]) -> None:
    deeds = table(lesson["deeds.csv"])
    assert [row["deed"] for row in deeds] == ["set", *["note"] * len(NOTES)]
    assert deeds[0]["amount"] == "0.1"  # the corrected one
    assert formulas(lesson["deeds.csv"].removeprefix(b"\xef\xbb\xbf")) == []


def test_its_readme_explains_every_column_and_every_word_in_them(lesson: dict[str, bytes]) -> None:
    readme = lesson["README.txt"].decode("utf-8-sig")
    assert readme.count("\n") == readme.count("\r\n")
    assert "Räume & Töpfe: a batch of brine shrimp in cup-1" in readme
    words = {word.strip(",") for line in readme.splitlines() for word in line.partition(":")[0].split()}
    assert {column for names in COLUMNS.values() for column in names} <= words
    assert {*QUANTITIES, *MEASURES, *Quality, "hours_since_set"} <= words


def test_the_same_batch_gives_the_same_bytes_into_any_file(state: Path) -> None:
    class OnlyForward(BytesIO):
        def seekable(self) -> bool:
            return False

        def seek(self, *_: int) -> int:
            raise OSError("no seeking here")

    station, connection = open_station(state)
    with closing(connection):
        (batch,) = every(connection, NEWEST)
        sent = OnlyForward()
        write_lesson(station, connection, batch, state, sent)
    assert packed(state) == packed(state)
    with ZipFile(BytesIO(sent.getvalue())) as there, ZipFile(BytesIO(packed(state))) as here:
        assert {one: there.read(one) for one in there.namelist()} == {
            one: here.read(one) for one in here.namelist()
        }


def test_a_batch_of_a_vessel_that_is_gone_is_refused(state: Path) -> None:
    station, connection = open_station(state)
    with closing(connection), pytest.raises(InputError, match="found one of 'thrown-away'; allowed: one of"):
        write_lesson(station, connection, BatchSpan(7, "thrown-away", BEGAN), state, BytesIO())


@contextmanager
def batches_of(tmp_path: Path, *told: tuple[str, str, int]) -> Iterator[list[BatchSpan]]:
    from daemon.care.deed import Deed
    from daemon.store import deeds as deed_store
    from tests.kit.exported_station import written_into

    with written_into(tmp_path) as store, store.transaction() as connection:
        for vessel, deed, at in told:
            deed_store.add(connection, Deed(at, vessel, deed), at)
        yield every(connection, 1000)


def test_a_batch_ends_with_its_end_or_when_the_vessel_is_set_anew(tmp_path: Path) -> None:
    told = [("a", "set", 10), ("b", "set", 20), ("a", "set", 30), ("b", "end", 40), ("b", "set", 2000)]
    with batches_of(tmp_path, *told) as batches:
        assert batches == [BatchSpan(1, "a", 10, 30), BatchSpan(2, "b", 20, 40), BatchSpan(3, "a", 30)]
        assert [batch.until(500) for batch in batches] == [29, 39, 500]
