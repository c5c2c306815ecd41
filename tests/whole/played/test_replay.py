"""`naupliad replay`: recorded readings through the real daemon, from the files to the files."""

import csv
import email
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from email import policy
from email.message import EmailMessage
from email.utils import parsedate_to_datetime
from itertools import groupby, pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from daemon.estimates.horizons import OF_THE_ABSENCE
from tests.kit.checkout import UNHEATED_ROOM
from tests.kit.command_line import Said, begin, ended, naupliad
from tests.kit.played import Played
from tests.kit.plays import Plays
from tests.kit.recordings import good, stamp, tape_rows, unix, write_care, write_tape
from tests.kit.station import station_text

# contract.md: what is estimated for a cup (the cone's two quantities apart), and the share beside them.
QUANTITIES = {
    *("hatchable_share", "hatched_fraction", "hatch_t10", "hatch_t50", "hatch_t90", "instar_ii_at"),
    *("loss_ml", "loss_ml_per_day", "salinity_g_per_kg", "low_mark_at"),
    *("water_c_min_next_16h", "water_c_max_next_16h"),
}
COLUMNS = {
    "reading": {"at", "probe", "value", "quality"},
    "estimate": {"at", "vessel", "quantity", "p10", "p50", "p90"},
    "deed": {"id", "at", "vessel", "deed", "amount", "unit", "detail", "withdrawn_at"},
    "alarm": {"at", "vessel", "condition", "state", "value"},
    "letter": {"id", "at", "kind", "subject", "state", "attempts"},
    "outage": {"began", "ended", "clock_trusted"},
}


@dataclass(frozen=True)
class Replayed(Played):
    """A played folder whose letters are opened."""

    def letter(self, file: str) -> EmailMessage:
        raw = (self.folder / file).read_bytes()
        read = email.message_from_bytes(raw, policy=policy.default)
        assert isinstance(read, EmailMessage)
        return read


def tape_values(probe: str) -> dict[int, float]:
    with (UNHEATED_ROOM / "tape.csv").open(newline="", encoding="utf-8") as file:
        return {unix(r["time"]): float(r["value"]) for r in csv.DictReader(file) if r["probe"] == probe}


def care_row(deed: str) -> Mapping[str, str]:
    with (UNHEATED_ROOM / "care.csv").open(newline="", encoding="utf-8") as file:
        return next(row for row in csv.DictReader(file) if row["deed"] == deed)


def replay_twice(_name: str, folder: Path) -> tuple[Said, Said]:
    """The measured room, replayed two times at once, each by a process of its own."""
    words = (
        "replay",
        UNHEATED_ROOM / "tape.csv",
        "--care",
        UNHEATED_ROOM / "care.csv",
        "--config",
        UNHEATED_ROOM / "station.toml",
    )
    first, second = (begin(*words, "--out", name, folder=folder) for name in ("first", "second"))
    return ended(first), ended(second)


@pytest.fixture(scope="module")
def twice(shared: Path) -> tuple[Replayed, Replayed]:
    """Once in a run, however many processes share these tests."""
    folder = shared / "replayed"
    first, second = Plays(folder, replay_twice)["unheated"]
    return Replayed(folder / "unheated/first", first), Replayed(folder / "unheated/second", second)


@pytest.fixture(scope="module")
def room(twice: tuple[Replayed, Replayed]) -> Replayed:
    return twice[0]


def test_a_replay_ends_well_and_writes_what_the_contract_names(room: Replayed) -> None:
    assert (room.said.code, room.said.err) == (0, "")
    shown = {path.name for path in room.folder.iterdir()} - {"station.db.lock"}
    assert shown == {"station.db", "letters", "charts", "summary.json"}


def test_the_summary_has_the_contracts_shape(room: Replayed) -> None:
    told = room.summary
    assert set(told) == {"station", "from", "to", "readings", "vessels", "alarms", "letters", "outages"}
    times = tape_values("cup-water")
    assert told["station"] == "Unheated room"
    assert (unix(told["from"]), unix(told["to"])) == (min(times), max(times))
    assert told["readings"] == {"expected": 3 * len(times), "good": 3 * len(times)}
    assert set(told["vessels"]) == {"cup"}
    for estimate in told["vessels"]["cup"]["estimates"].values():
        assert set(estimate) == {"p10", "p50", "p90"}
        assert estimate["p10"] <= estimate["p50"] <= estimate["p90"]
    assert set(told["vessels"]["cup"]["estimates"]) == QUANTITIES
    assert all(set(a) == {"at", "vessel", "condition", "state", "value"} for a in told["alarms"])
    assert all(set(letter) == {"at", "kind", "subject", "file"} for letter in told["letters"])
    assert told["outages"] == []


def test_the_store_has_the_contracts_tables_and_columns(room: Replayed) -> None:
    for table, columns in COLUMNS.items():
        assert columns <= {row[1] for row in room.rows(f"PRAGMA table_info({table})")}


def test_every_reading_and_deed_of_the_files_is_in_the_store(room: Replayed) -> None:
    for probe in ("cup-water", "room-air", "room-rh"):
        stored = room.rows("SELECT at, value, quality FROM reading WHERE probe = ?", probe)
        assert stored == [(at, value, "good") for at, value in tape_values(probe).items()]
    deeds = room.rows("SELECT at, deed, amount, detail, withdrawn_at FROM deed ORDER BY at")
    assert [deed for _, deed, *_ in deeds] == ["set", "top-up", "end"]
    assert deeds[1][0] == unix(care_row("top-up")["time"])
    assert (deeds[1][2], json.loads(deeds[1][3]), deeds[1][4]) == (11.0, {"to": "mark"}, None)


def test_every_quantity_is_estimated_at_least_once_an_hour_while_the_batch_runs(room: Replayed) -> None:
    set_at, end_at = unix(care_row("set")["time"]), unix(care_row("end")["time"])
    kept = {row[0] for row in room.rows("SELECT DISTINCT quantity FROM estimate")}
    assert kept == QUANTITIES | set(OF_THE_ABSENCE)  # the latter on days on which people leave for long
    for quantity in QUANTITIES:
        times = [r[0] for r in room.rows("SELECT at FROM estimate WHERE quantity = ? ORDER BY at", quantity)]
        assert max(after - before for before, after in pairwise([set_at, *times, end_at])) <= 3600
        assert times[-1] <= end_at


def test_letters_are_mail_in_order_of_sending_with_kind_and_played_date(room: Replayed) -> None:
    told = room.summary["letters"]
    files = sorted(path.name for path in (room.folder / "letters").iterdir())
    assert files == [f"{number:04d}-{row['kind']}.eml" for number, row in enumerate(told, start=1)]
    assert [row["file"] for row in told] == [f"letters/{file}" for file in files]
    assert [row["at"] for row in told] == sorted(row["at"] for row in told)
    for row in told:
        letter = room.letter(row["file"])
        assert letter["X-Naupliad-Kind"] == row["kind"]
        assert letter["Subject"] == row["subject"]
        assert int(parsedate_to_datetime(letter["Date"]).timestamp()) == unix(row["at"])
        assert not [part.defects for part in letter.walk() if part.defects]
        # RFC 5322 sections 3.6 and 2.1.1: From and Date must be there, no line over 998 characters.
        assert letter["From"]
        assert letter["Message-ID"]
        assert max(map(len, (room.folder / row["file"]).read_bytes().splitlines())) <= 998
        body = letter.get_body(("plain",))
        assert body is not None
        assert len(body.get_content().split()) > 20


def test_every_night_has_its_letter_and_its_chart(room: Replayed) -> None:
    # 20:00 is the default of `nightly_at`; the tape runs from Thursday 08:00 to Tuesday 15:00.
    nights = [
        datetime.fromisoformat(row["at"]) for row in room.summary["letters"] if row["kind"] == "nightly"
    ]
    assert [(night.date(), night.hour) for night in nights] == [(date(2027, 6, d), 20) for d in range(10, 15)]
    charts = sorted((room.folder / "charts").iterdir())
    assert [chart.name for chart in charts] == [f"2027-06-{d}.png" for d in range(10, 16)]
    assert all(chart.read_bytes().startswith(b"\x89PNG\r\n\x1a\n") for chart in charts)
    letter = room.letter(next(r["file"] for r in room.summary["letters"] if r["kind"] == "nightly"))
    pictures = [part.get_content() for part in letter.walk() if part.get_content_type() == "image/png"]
    assert pictures == [charts[0].read_bytes()]


def last_there(at: int) -> int:
    """When somebody last was in the room: Monday to Friday from 08:00 to 15:30 (station.toml)."""
    local = datetime.fromtimestamp(at, ZoneInfo("America/New_York"))
    while local.weekday() > 4 or not time(8) <= local.time() < time(15, 30):
        local -= timedelta(minutes=1)
    return int(local.timestamp())


def test_a_cup_that_is_cold_for_hours_raises_an_alarm_within_two_and_is_written_about(room: Replayed) -> None:
    water = tape_values("cup-water")
    spells = [list(run) for cold, run in groupby(water, key=lambda at: water[at] < 20.0) if cold]
    long = [spell for spell in spells if len(spell) >= 4]
    assert len(long) >= 3  # nights of the tape; the file says which
    raised = [
        row[0]
        for row in room.rows("SELECT at FROM alarm WHERE condition = 'cold' AND state = 'unacknowledged'")
    ]
    told = [unix(letter["at"]) for letter in room.summary["letters"] if letter["kind"] == "cold"]
    for spell in long:
        # One hour of delay (handbook, Alarms), and readings an hour apart.
        assert any(spell[0] <= at <= spell[0] + 7200 for at in raised)
    for spell in long[:2]:
        # It is told when the night is over, unless it was told already and nobody has been there since. From
        # the third such night on it stands in the nightly letter only (docs/explanation/saying.md).
        assert any(last_there(spell[0]) <= at <= spell[0] + 14 * 3600 for at in told)
    assert all(last_there(later) > earlier for earlier, later in pairwise(told))
    assert all(any(spell[0] <= at <= spell[-1] for spell in spells) for at in raised)


def test_nobody_is_written_to_at_night_but_for_the_planned_letter(room: Replayed) -> None:
    for row in room.summary["letters"]:
        at = datetime.fromisoformat(row["at"])
        assert row["kind"] == "nightly" or 7 <= at.hour < 20


def test_the_loss_believed_before_the_top_up_holds_what_was_poured(room: Replayed) -> None:
    # The 11 mL are the computed cup's own loss, by another evaporation formula (SOURCE.md), in whole mL.
    poured_at = unix(care_row("top-up")["time"])
    before = room.rows(
        "SELECT p10, p50, p90 FROM estimate WHERE quantity = 'loss_ml' AND at < ? ORDER BY at DESC LIMIT 1",
        poured_at,
    )[0]
    assert before[0] < float(care_row("top-up")["amount"]) < before[2]
    after = room.rows(
        "SELECT p10, p50, p90 FROM estimate WHERE quantity = 'loss_ml' AND at >= ? ORDER BY at LIMIT 1",
        poured_at,
    )[0]
    assert after[0] < 0.0 < after[2] + 0.5  # at the mark again, but for the fill's own error
    assert after[2] - after[0] < before[2] - before[0]


def test_salinity_follows_from_salt_and_loss_by_hand(room: Replayed) -> None:
    # 25 g in 1 L of water is 24.46 g/kg [C, handbook Brine]; NaCl brine of 25 g/kg has 1.0147 g/mL at 25 °C
    # (CRC Handbook, Rogers & Pitzer [C]), water 0.997. The cup is at 16 to 27 °C: density off by up to 0.3 %.
    salt_g, brine_g = 0.02446 * 250 * 1.0147, 250 * 1.0147
    rows = room.rows(
        "SELECT loss.p50, salt.p50, salt.p10, salt.p90 FROM estimate AS loss JOIN estimate AS salt "
        "USING (at, vessel) WHERE loss.quantity = 'loss_ml' AND salt.quantity = 'salinity_g_per_kg'"
    )
    assert len(rows) > 100
    for loss_ml, believed, low, high in rows:
        by_hand = 1000 * salt_g / (brine_g - 0.997 * loss_ml)
        assert believed == pytest.approx(by_hand, abs=0.15)
        assert low < by_hand < high


def test_the_forecast_of_the_coldest_water_meets_the_tape_about_as_often_as_it_says(room: Replayed) -> None:
    # p10 to p90 should hold the truth four times in five (contract). Hours of five days hang together, so
    # 112 of them weigh like five nights, and 0.8 of five has a standard error of 0.18: only a range that is
    # plainly too sure, or says nothing, fails here.
    water = tape_values("cup-water")
    held, widths = [], []
    for at, low, high in room.rows(
        "SELECT at, p10, p90 FROM estimate WHERE quantity = 'water_c_min_next_16h' ORDER BY at"
    ):
        ahead = [value for then, value in water.items() if at < then <= at + 16 * 3600]
        if at in water and len(ahead) == 16:
            held.append(low <= min(ahead) <= high)
            widths.append(high - low)
    width = sum(widths) / len(widths)
    print(f"coldest water in 16 h: {sum(held)} of {len(held)}, {width:.1f} K wide")  # noqa: T201 - with -s
    assert sum(held) / len(held) >= 0.5
    assert width < max(water.values()) - min(water.values())


def test_the_same_tape_gives_the_same_bytes_twice(twice: tuple[Replayed, Replayed]) -> None:
    first, second = (replayed.folder for replayed in twice)
    for pattern in ("summary.json", "letters/*", "charts/*"):
        names = sorted(path.relative_to(first) for path in first.glob(pattern))
        assert names == sorted(path.relative_to(second) for path in second.glob(pattern))
        for name in names:
            assert (first / name).read_bytes() == (second / name).read_bytes(), name


def test_the_same_tape_gives_stores_of_the_same_content(twice: tuple[Replayed, Replayed]) -> None:
    first, second = twice
    tables = [
        row[0] for row in first.rows("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
    ]
    # The table of migrations tells when this machine made the store, which is no played time.
    own = [table for table in tables if "migration" not in table and not table.startswith("sqlite_")]
    assert set(COLUMNS) < set(own)
    for table in own:
        assert first.rows(f"SELECT * FROM {table}") == second.rows(f"SELECT * FROM {table}")


# A made tape, one reading a minute from Thursday 14 January 2027, 08:00 in Lisbon (UTC then).
BEGAN = unix("2027-01-14T08:00:00+00:00")
ABSENT_FROM, ABSENT_TO = BEGAN + 100 * 60, BEGAN + 160 * 60
LAST_BEFORE, FIRST_AFTER = BEGAN + 219 * 60, BEGAN + 360 * 60
FAULTS = {FIRST_AFTER + 600: "crc", FIRST_AFTER + 1200: "reset", FIRST_AFTER + 1800: "range"}


def made_rows() -> list[str]:
    """One hour of 21 °C; 40 minutes of 18 °C; an hour of an absent probe; an hour of 18 °C; nothing at all
    for more than two hours; half an hour of 21 °C with a fault of every other kind."""
    absent = {"cup-water": ",absent", "room-air": "21.0,"}
    last = [
        row
        for at in range(FIRST_AFTER, FIRST_AFTER + 31 * 60, 60)
        for row in tape_rows(
            at, 1, {**good(20.4), **({"cup-water": f",{FAULTS[at]}"} if at in FAULTS else {})}
        )
    ]
    return [
        *tape_rows(BEGAN, 60, good(20.4)),
        *tape_rows(BEGAN + 60 * 60, 40, good(19.6)),
        *tape_rows(ABSENT_FROM, 60, absent),
        *tape_rows(ABSENT_TO, 60, good(19.6)),
        *last,
    ]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Replayed:
    folder = tmp_path_factory.mktemp("made")
    (folder / "station.toml").write_text(station_text().replace('file = "tape.csv"\n', ""), encoding="utf-8")
    tape = write_tape(folder / "tape.csv", made_rows())
    care = write_care(folder / "care.csv", f"{stamp(BEGAN - 4 * 3600)},cup,set,0.05,g,salt_g_per_l=25")
    said = naupliad(
        "replay", tape, "--care", care, "--config", folder / "station.toml", "--out", folder / "out"
    )
    return Replayed(folder / "out", said)


def test_probes_of_a_tape_need_no_file_where_the_tape_is_named(made: Replayed) -> None:
    assert made.said.code == 0, made.said.err
    assert "file =" not in (made.folder.parent / "station.toml").read_text(encoding="utf-8")


def test_a_stretch_without_rows_becomes_an_outage(made: Replayed) -> None:
    assert made.said.code == 0
    assert made.rows("SELECT began, ended FROM outage") == [(LAST_BEFORE, FIRST_AFTER)]
    (outage,) = made.summary["outages"]
    assert (unix(outage["began"]), unix(outage["ended"])) == (LAST_BEFORE, FIRST_AFTER)
    assert "Off:  Thu 14 Jan 11:39 to Thu 14 Jan 14:00" in made.said.out
    between = made.rows("SELECT count(*) FROM reading WHERE at > ? AND at < ?", LAST_BEFORE, FIRST_AFTER)
    assert between == [(0,)]


def test_missing_beats_count_as_expected_and_not_as_good(made: Replayed) -> None:
    beats = (FIRST_AFTER + 30 * 60 - BEGAN) // 60 + 1
    rows = made_rows()
    good_rows = sum(1 for row in rows if row.endswith(","))
    assert made.summary["readings"] == {"expected": 2 * beats, "good": good_rows}
    assert good_rows == len(rows) - 60 - 3


def test_faults_of_the_tape_become_the_readings_qualities(made: Replayed) -> None:
    bad = made.rows("SELECT at, value, quality FROM reading WHERE quality != 'good' ORDER BY at")
    absent = [(ABSENT_FROM + 60 * minute, None, "absent") for minute in range(60)]
    assert bad == [*absent, *((at, None, fault) for at, fault in FAULTS.items())]


def test_a_probe_that_is_gone_raises_its_own_alarm_and_is_written_about(made: Replayed) -> None:
    # A quarter of an hour from the first bad sample raises it, ten minutes from the first good one clear it
    # (judgement, no source).
    changes = made.rows(
        "SELECT at, probe, state FROM alarm WHERE condition = 'probe' AND at > ? ORDER BY at", BEGAN
    )
    assert changes == [
        (ABSENT_FROM + 15 * 60, "cup-water", "unacknowledged"),
        (ABSENT_TO + 10 * 60, "cup-water", "returned to normal unacknowledged"),
    ]
    letters = [row for row in made.summary["letters"] if row["kind"] == "probe"]
    assert [unix(row["at"]) for row in letters] == [ABSENT_FROM + 15 * 60]
    body = made.letter(letters[0]["file"]).get_body(("plain",))
    assert body is not None
    assert "cup-water" in body.get_content()


def test_a_probe_that_is_gone_freezes_the_cold_alarm(made: Replayed) -> None:
    # 60 minutes of good cold samples after the first (handbook, Alarms): 40 samples come before the hole and
    # the other 21 after it, none within.
    raised = made.rows("SELECT at FROM alarm WHERE condition = 'cold' AND state = 'unacknowledged'")
    assert raised == [(ABSENT_TO + 20 * 60,)]


def test_a_second_unplanned_letter_of_a_day_waits_for_the_next_morning(made: Replayed) -> None:
    # Handbook: one unplanned letter a day. The probe's went out already.
    due = made.rows("SELECT state, due_at FROM letter WHERE kind = 'cold'")
    assert [(state, datetime.fromtimestamp(at, UTC).isoformat()) for state, at in due] == [
        ("held", "2027-01-15T07:15:00+00:00")
    ]
    assert not [row for row in made.summary["letters"] if row["kind"] == "cold"]
