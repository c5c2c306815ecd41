"""`care`, `now`, `report`, `post` and `probes` on a station's folder while no daemon runs."""

import fcntl
import json
import shutil
import sqlite3
import time
from contextlib import closing
from datetime import UTC, datetime
from email import message_from_bytes, policy
from pathlib import Path
from typing import Any

import pytest

from tests.kit.command_line import Said, naupliad
from tests.kit.recordings import good, stamp, tape_rows, write_care, write_tape
from tests.kit.station import station_text, zone_where_it_is


@pytest.fixture(scope="module")
def left(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What a station left that watched one cup from 30 hours ago up to just now, every 10 minutes."""
    place = tmp_path_factory.mktemp("left")
    # Readings at 3, 13, 23 … minutes past: none falls on the second of the night's letter.
    now = (int(time.time()) - 240) // 600 * 600 + 240
    zone = zone_where_it_is(12, now)
    (place / "station.toml").write_text(station_text(every_s=600, zone=zone, attended=()), encoding="utf-8")
    tape = write_tape(place / "tape.csv", tape_rows(now - 60 - 180 * 600, 181, good(24.0), 600))
    care = write_care(
        place / "care.csv",
        f"{stamp(now - 29 * 3600)},cup,set,0.05,g,salt_g_per_l=25;lot=spring-tin",
        f"{stamp(now - 5 * 3600)},cup,top-up,12,ml,to=mark",
    )
    said = naupliad(
        "replay", tape, "--care", care, "--config", place / "station.toml", "--out", place / "state"
    )
    assert (said.code, said.err) == (0, "")
    return place


@pytest.fixture
def state(left: Path, tmp_path: Path) -> Path:
    """That folder, for one test to change. Without summary.json, which says that its time was played."""
    folder = shutil.copytree(left / "state", tmp_path / "state")
    (folder / "summary.json").unlink()
    return folder


def rows(state: Path, query: str, *values: object) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(f"file:{state}/station.db?mode=ro", uri=True)) as connection:
        return connection.execute(query, values).fetchall()


def told(said: Said) -> Any:
    """What a command answered with `--json`; it must have succeeded."""
    assert (said.code, said.err) == (0, "")
    return json.loads(said.out)


def care(state: Path, *words: str) -> Any:
    return told(naupliad("care", words[0], "--state", state, "--json", *words[1:]))


def loss_ml(state: Path) -> dict[str, float]:
    estimates = told(naupliad("now", "--state", state, "--json"))["vessels"]["cup"]["estimates"]
    return dict(estimates["loss_ml"])


def test_a_deed_recorded_while_no_daemon_runs_changes_what_now_says(state: Path) -> None:
    # Five hours at 24 °C have taken something; 30 mL poured without reaching the mark are 30 mL less loss.
    before = loss_ml(state)
    assert before["p50"] > 0.5
    deed_id = care(state, "add", "cup", "top-up", "30")["id"]
    after = loss_ml(state)
    assert after["p50"] == pytest.approx(before["p50"] - 30, abs=1.0)
    (entry,) = (entry for entry in care(state, "list") if entry["id"] == deed_id)
    assert (entry["deed"], entry["amount"], entry["unit"], entry["withdrawn_at"]) == (
        "top-up",
        30,
        "ml",
        None,
    )
    assert abs(datetime.fromisoformat(entry["at"]).timestamp() - time.time()) < 120


def test_a_deed_of_the_past_is_computed_in_at_its_own_time(state: Path) -> None:
    # At 24 °C throughout, a batch set 5 hours later hatches 5 hours later.
    def half_hatched_at() -> float:
        estimates = told(naupliad("now", "--state", state, "--json"))["vessels"]["cup"]["estimates"]
        return float(estimates["hatch_t50"]["p50"])

    before = half_hatched_at()
    ((set_at,),) = rows(state, "SELECT at FROM deed WHERE deed = 'set'")
    later = stamp(set_at + 5 * 3600)
    care(
        state,
        "correct",
        "1",
        "cup",
        "set",
        "0.05",
        "--detail",
        "salt_g_per_l=25;lot=spring-tin",
        "--at",
        later,
    )
    assert half_hatched_at() - before == pytest.approx(5 * 3600, abs=900)
    as_json = told(naupliad("now", "--state", state, "--json"))
    assert datetime.fromisoformat(as_json["vessels"]["cup"]["batch_set_at"]).timestamp() == set_at + 5 * 3600


def test_a_correction_keeps_the_old_entry_and_its_time_and_counts_alone(state: Path) -> None:
    before = loss_ml(state)
    wrong = care(state, "add", "cup", "top-up", "200", "--at", stamp(int(time.time()) - 1800))["id"]
    right = care(state, "correct", str(wrong), "cup", "top-up", "20")
    assert right["replaces"] == wrong
    assert loss_ml(state)["p50"] == pytest.approx(before["p50"] - 20, abs=1.0)
    every = {entry["id"]: entry for entry in care(state, "list", "--all")}
    assert wrong not in {entry["id"] for entry in care(state, "list")}
    assert every[wrong]["withdrawn_at"] is not None
    assert every[wrong]["amount"] == 200
    assert (every[right["id"]]["replaces"], every[right["id"]]["withdrawn_at"]) == (wrong, None)
    assert every[right["id"]]["at"] == every[wrong]["at"]
    plain = naupliad("care", "list", "--all", "--state", state).out
    assert "top-up 200 ml  (withdrawn " in plain
    assert f"top-up 20 ml  (replaces {wrong})" in plain


def test_a_withdrawn_deed_is_as_if_it_had_not_been(state: Path) -> None:
    before = loss_ml(state)
    deed_id = care(state, "add", "cup", "remove", "50")["id"]
    assert loss_ml(state)["p50"] == pytest.approx(before["p50"] + 50, abs=1.0)
    care(state, "withdraw", str(deed_id))
    assert loss_ml(state)["p50"] == pytest.approx(before["p50"], abs=0.2)
    kept = rows(state, "SELECT amount, withdrawn_at IS NOT NULL FROM deed WHERE id = ?", deed_id)
    assert kept == [(50.0, 1)]


def test_a_time_of_day_is_one_of_today_where_the_station_stands(state: Path) -> None:
    deed_id = care(state, "add", "cup", "stir", "--at", "06:30")["id"]
    (entry,) = (entry for entry in care(state, "list") if entry["id"] == deed_id)
    at = datetime.fromisoformat(entry["at"])
    assert (at.hour, at.minute, at.date()) == (6, 30, datetime.now(at.tzinfo).date())


def test_the_log_can_be_listed_for_one_vessel(state: Path) -> None:
    assert len(care(state, "list", "--vessel", "cup")) == 2
    assert care(state, "list", "--vessel", "other") == []
    assert naupliad("care", "list", "--vessel", "other", "--state", state).out == "No deeds recorded.\n"


def test_a_store_that_another_process_just_holds_is_waited_for(
    state: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with (state / "station.db.lock").open("r+") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        monkeypatch.setattr("daemon.cli.requests.sleep", lambda _: fcntl.flock(lock, fcntl.LOCK_UN))
        assert naupliad("care", "add", "--state", state, "cup", "stir").code == 0


def test_nothing_is_recorded_while_another_process_holds_the_store(
    state: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    waited_s = [0.0]

    def wait(seconds: float) -> None:
        waited_s[0] += seconds

    monkeypatch.setattr("daemon.cli.requests.sleep", wait)
    monkeypatch.setattr("daemon.cli.requests.monotonic", lambda: waited_s[0])
    before = rows(state, "SELECT * FROM deed")
    with (state / "station.db.lock").open("r+") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        said = naupliad("care", "add", "--state", state, "cup", "stir")
    assert (said.code, said.out, len(said.faults)) == (1, "", 1)
    assert "found another naupliad writing here" in said.err
    assert rows(state, "SELECT * FROM deed") == before
    assert naupliad("care", "add", "--state", state, "cup", "stir").code == 0


def test_now_says_in_words_what_its_json_says(state: Path) -> None:
    said = naupliad("now", "--state", state)
    assert (said.code, said.err) == (0, "")
    as_json = told(naupliad("now", "--state", state, "--json"))
    assert as_json["station"] == "Small room"
    assert "Small room" in said.out
    cup = as_json["vessels"]["cup"]
    assert cup["water_c"] == 24.0
    assert "24.0 °C" in said.out
    loss = cup["estimates"]["loss_ml"]
    assert loss["p10"] <= loss["p50"] <= loss["p90"]
    assert cup["alarms"] == []
    assert abs(datetime.fromisoformat(as_json["at"]).timestamp() - time.time()) < 120


def test_now_of_a_play_is_its_last_reading(left: Path) -> None:
    as_json = told(naupliad("now", "--state", left / "state", "--json"))
    last_at = rows(left / "state", "SELECT max(at) FROM reading")[0][0]
    assert datetime.fromisoformat(as_json["at"]).timestamp() == last_at
    assert as_json["vessels"]["cup"]["water_read_at"] == as_json["at"]


def test_the_state_folder_may_come_from_the_environment(left: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("STATE_DIRECTORY", str(left / "state"))
    assert told(naupliad("now", "--json"))["station"] == "Small room"


def test_a_report_of_a_past_night_is_the_letter_and_the_chart_of_that_night(
    left: Path, tmp_path: Path
) -> None:
    state = left / "state"
    (chart,) = (path for path in (state / "charts").iterdir() if path.stem != newest_night(state))
    as_json = told(naupliad("report", chart.stem, "--state", state, "--out", tmp_path / "out", "--json"))
    assert as_json["night"] == chart.stem
    assert Path(as_json["chart"]) == tmp_path / "out" / "charts" / chart.name
    # Made anew from the store, it is the very chart that was drawn that night.
    assert Path(as_json["chart"]).read_bytes() == chart.read_bytes()
    (letter,) = (state / "letters").glob("*-nightly.eml")
    sent = message_from_bytes(letter.read_bytes(), policy=policy.default)
    assert as_json["subject"] == sent["Subject"]
    assert (tmp_path / "out" / "letter.txt").read_text(encoding="utf-8") == as_json["text"]
    assert "24.0 °C" in as_json["text"]


def newest_night(state: Path) -> str:
    return max(path.stem for path in (state / "charts").iterdir())


def test_a_report_without_a_night_is_the_newest_and_goes_into_a_folder_of_its_name(
    left: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    night = newest_night(left / "state")
    said = naupliad("report", "--state", left / "state")
    assert (said.code, said.err) == (0, "")
    assert f"report-{night}/charts/{night}.png" in said.out
    assert (tmp_path / f"report-{night}" / "letter.txt").read_text(encoding="utf-8") in said.out


BEGINS = {"png": b"\x89PNG", "svg": b"<?xml", "pdf": b"%PDF"}


def drawn(left: Path, folder: Path, form: str, *words: str) -> bytes:
    line = ("report", *words, "--format", form, "--state", left / "state", "--out", folder, "--json")
    chart = Path(told(naupliad(*line))["chart"])
    assert chart.suffix == f".{form}"
    return chart.read_bytes()


@pytest.mark.parametrize(("form", "words"), [("svg", ("--weekend",)), ("pdf", ("--batch", "cup"))])
def test_a_report_of_any_span_comes_in_any_form(
    left: Path, tmp_path: Path, form: str, words: tuple[str, ...]
) -> None:
    assert drawn(left, tmp_path, form, *words).startswith(BEGINS[form])


@pytest.mark.parametrize("form", BEGINS)
def test_a_report_is_the_same_twice_in_every_form(left: Path, tmp_path: Path, form: str) -> None:
    one, other = (drawn(left, tmp_path / name, form) for name in ("one", "other"))
    assert one.startswith(BEGINS[form])
    assert one == other


def test_a_weekend_and_a_batch_say_what_their_chart_shows(left: Path, tmp_path: Path) -> None:
    state = left / "state"
    weekend = told(naupliad("report", "--weekend", "--state", state, "--out", tmp_path, "--json"))
    assert "cup: water from 24.0" in weekend["text"].replace("\u00a0", " ")
    batch = naupliad("report", "--batch", "cup", "--state", state, "--out", tmp_path)
    assert batch.out.startswith("Chart of ")
    assert f"Chart: {tmp_path}/charts/batch-cup-" in batch.out
    first, last = (datetime.fromisoformat(weekend[end]) for end in ("from", "to"))
    assert 29 < (last - first).total_seconds() / 3600 < 31  # nobody is ever away, and it was read so long


def test_post_lists_what_waits_and_with_all_what_went(left: Path) -> None:
    state = left / "state"
    assert naupliad("post", "list", "--state", state).out == "No letter waits.\n"
    every = told(naupliad("post", "list", "--all", "--state", state, "--json"))
    summary = json.loads((state / "summary.json").read_text(encoding="utf-8"))
    assert [row["subject"] for row in every if row["state"] == "sent"] == [
        letter["subject"] for letter in summary["letters"]
    ]
    assert {"nightly", "hatch"} <= {row["kind"] for row in every}


def test_post_try_needs_the_daemon_and_says_so(state: Path) -> None:
    said = naupliad("post", "try", "--state", state)
    assert (said.code, said.out, len(said.faults)) == (1, "", 1)
    assert "found no daemon running" in said.err


def test_a_sample_letter_without_a_post_is_a_file(left: Path, tmp_path: Path) -> None:
    said = naupliad("post", "sample", "--config", left / "station.toml", "--state", tmp_path)
    assert (said.code, said.err) == (0, "")
    assert str(tmp_path / "letters") in said.out
    (path,) = (tmp_path / "letters").iterdir()
    sample = message_from_bytes(path.read_bytes(), policy=policy.default)
    assert sample["X-Naupliad-Kind"] == "sample"
    assert path.name.endswith("-sample.eml")


def test_probes_reads_every_probe_once(left: Path) -> None:
    lines = told(naupliad("probes", "--config", left / "station.toml", "--json"))["probes"]
    assert [(line["probe"], line["value"], line["quality"]) for line in lines] == [
        ("cup-water", 24.0, "good"),
        ("room-air", 21.0, "good"),
    ]
    plain = naupliad("probes", "--config", left / "station.toml")
    assert plain.code == 0
    assert [line.split()[0] for line in plain.out.splitlines()] == ["cup-water", "room-air"]


def test_probes_ends_with_one_when_a_probe_gives_nothing_good(left: Path, tmp_path: Path) -> None:
    config = tmp_path / "station.toml"
    shutil.copy(left / "station.toml", config)
    now = int(datetime(2027, 1, 14, 8, tzinfo=UTC).timestamp())
    write_tape(tmp_path / "tape.csv", tape_rows(now, 2, {"cup-water": "21.0,", "room-air": ",absent"}))
    said = naupliad("probes", "--config", config, "--json")
    assert said.code == 1
    assert [line["quality"] for line in json.loads(said.out)["probes"]] == ["good", "absent"]
    assert said.faults == ['probe "room-air": its tape holds no reading for this moment. Look into the tape.']


def test_a_tape_probe_that_is_checked_needs_its_tape(left: Path, tmp_path: Path) -> None:
    shutil.copy(left / "station.toml", tmp_path / "station.toml")
    said = naupliad("probes", "--config", tmp_path / "station.toml")
    assert (said.code, said.out, len(said.faults)) == (2, "", 1)
    assert "tape.csv: found no such file" in said.err


def test_no_command_is_cut_short_where_all_are_listed() -> None:
    assert "..." not in naupliad("--help").out.partition("Commands:")[2]
