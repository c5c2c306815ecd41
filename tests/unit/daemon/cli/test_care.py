"""`naupliad care` as people type it: times and amounts their way, one line back that says what changed."""

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.kit.command_line import Said, naupliad
from tests.kit.recordings import good, stamp, tape_rows, unix, write_care, write_tape
from tests.kit.station import probe, station_text, vessel
from tests.kit.undrawn import undrawn

BEGAN = unix("2026-10-24T06:00:00+00:00")  # a Saturday; the clocks go back in the night
HOUR = 3600
HALF = r"Half now expected \w{3} \d\d:\d\d to .+, was \w{3} \d\d:\d\d to .+\."

Told = Callable[..., Said]


@pytest.fixture(scope="module")
def left(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What two days at 22 °C left, of a tray that was set on Saturday at 08:00 in Lisbon."""
    folder = tmp_path_factory.mktemp("care")
    text = station_text(
        probe("cup-water"),
        probe("room-air", "room_c"),
        vessel("tray", "cup-water", "room-air", count=24),
        zone="Europe/Lisbon",
        every_s=1800,
    )
    (folder / "station.toml").write_text(text, encoding="utf-8")
    write_tape(folder / "tape.csv", tape_rows(BEGAN, 49, good(22.0), 1800))
    write_care(folder / "care.csv", f"{stamp(BEGAN + HOUR)},tray,set,0.05,g,salt_g_per_l=25")
    with undrawn():
        said = naupliad(
            *("replay", folder / "tape.csv", "--care", folder / "care.csv"),
            *("--config", folder / "station.toml", "--out", folder / "state"),
        )
    assert (said.code, said.err) == (0, "")
    return folder / "state"


@pytest.fixture
def told(left: Path, tmp_path: Path) -> Told:
    state = shutil.copytree(left, tmp_path / "state")
    return lambda *words: naupliad("care", *words, "--state", state)


def listed(told: Told) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(told("list", "--json").out)
    return found


def test_an_amount_of_several_words_and_a_local_time_are_kept_in_the_units_of_the_log(told: Told) -> None:
    said = told("add", "tray", "top-up", "1", "1/2", "tsp", "--at", "sat 18:00", "--detail", "above_ml=2,5")
    assert (said.code, said.err) == (0, "")
    assert said.out.splitlines()[0] == "recorded as deed 2: tray top-up 7.5 ml, Sat 24 Oct 2026 18:00"
    kept = listed(told)[-1]
    assert (kept["amount"], kept["unit"], kept["detail"]) == (7.5, "ml", {"above_ml": 2.5})
    assert kept["at"] == "2026-10-24T18:00:00+01:00"


def test_a_look_that_found_nothing_yet_moves_the_hatch_and_says_so(told: Told) -> None:
    said = told("add", "tray", "hatched", "0")
    first, change = said.out.splitlines()
    assert first.startswith("recorded as deed 2: tray hatched 0 fraction, Sun 25 Oct 2026 06:00")
    assert re.fullmatch(HALF, change)


def test_json_says_the_same_with_the_figures_before_and_after(told: Told) -> None:
    said = json.loads(told("add", "tray", "hatched", "50%", "--at", "05:30", "--json").out)
    assert (said["id"], said["at"], said["doubts"]) == (2, "2026-10-25T05:30:00+00:00", [])
    half = said["changed"]["hatch_t50"]
    assert half["before"]["p10"] < half["after"]["p50"] < half["before"]["p90"]
    assert said["said"].startswith(("Half now expected ", "Hatched so far: "))


def test_what_changed_nothing_says_nothing_more(told: Told) -> None:
    assert len(told("add", "tray", "stir").out.splitlines()) == 1
    assert json.loads(told("add", "tray", "stir", "--json").out)["said"] is None


def test_water_and_salt_say_what_is_believed_of_them_now(told: Told) -> None:
    poured = told("add", "tray", "top-up", "20", "--detail", "to=mark").out.splitlines()[1]
    assert re.search(r"Evaporates \d+ to \d+ mL a day, was \d+ to \d+ mL a day\.", poured)
    assert "The water stands" in poured
    words = ("salinity", "1.021", "sg", "--detail", "with=hydrometer;water_c=22;scale_c=25")
    salt = told("add", "tray", *words).out.splitlines()[1]
    assert re.match(r"Salt in a kg of brine: [\d.]+ to [\d.]+ g, was [\d.]+ to [\d.]+ g\.", salt)
    kept = listed(told)[-1]
    assert (kept["amount"], kept["unit"]) == (1.021, "sg")
    assert "salinity 1.021 sg" in told("list").out


def test_details_may_be_given_one_by_one_and_none_is_lost(told: Told) -> None:
    one_by_one = (
        "--detail",
        "with=hydrometer",
        "--detail",
        "water_c=22;scale_c=25",
        "--detail",
        "reference_c=20",
    )
    assert told("add", "tray", "salinity", "1.021", "sg", *one_by_one).code == 0
    wanted = {"with": "hydrometer", "water_c": 22.0, "scale_c": 25.0, "reference_c": 20.0}
    assert listed(told)[-1]["detail"] == wanted
    assert told("correct", "2", "tray", "salinity", "1.022", "sg", *one_by_one).code == 0
    assert listed(told)[-1]["detail"] == wanted


def test_a_correction_takes_the_same_forms_and_a_withdrawal_says_what_it_undoes(told: Told) -> None:
    told("add", "tray", "hatched", "0")
    corrected = told("correct", "2", "tray", "hatched", "5 %", "--at", "yesterday 23:00").out.splitlines()
    assert corrected[0] == "deed 2 is now deed 3: tray hatched 0.05 fraction, Sat 24 Oct 2026 23:00"
    assert re.fullmatch(HALF, corrected[1])
    back = told("withdraw", "3").out.splitlines()
    assert back[0] == "deed 3 is withdrawn"
    assert re.fullmatch(HALF, back[1])


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("stir", "--at", "01:30"), "--at: found '01:30', which the clocks showed twice; allowed: 2026"),
        (("stir", "--at", "today 18:00"), "--at: found 'today 18:00', 12 hours ahead; allowed: now"),
        (("stir", "--at", "2016-11-28 08:30"), "time: found a moment 3617 days ago; allowed: within the"),
        (("stir", "--at", "noon"), "--at: found 'noon'; allowed: 08:30, 'Sat 18:00', "),
        (("top-up", "18", "g"), "unit: found 'g'; allowed for top-up: a number, in ml, l, tsp (5 ml)"),
        (("top-up", "a", "lot"), "amount: found 'a lot'; allowed for top-up: a number, in ml"),
        (("hatched", "50"), "amount: found '50'; allowed: 0 to 1 fraction (50% is 0.5)"),
        (("stir", "3"), "amount: found '3'; allowed: no amount for stir"),
        (("set", "100"), "amount: found '100'; allowed: 0 to 25 g"),
        (("top-up", "1", "l"), "amount: found '1 l'; allowed: 0 to 500 ml (of one cup: twice its mark at"),
        (("brine", "20", "--detail", "salt_g_per_l=400"), "detail salt_g_per_l: found '400'; allowed: 0 to"),
        (("salinity", "1018", "sg"), "amount: found '1018 sg'; allowed: 0.98 to 1.06 sg"),
    ],
)  # fmt: skip
def test_what_is_refused_is_one_line_and_leaves_the_log_as_it_was(
    told: Told, words: tuple[str, ...], line: str
) -> None:
    said = told("add", "tray", *words)
    assert (said.code, said.out, len(said.faults)) == (2, "", 1)
    assert line in said.err
    assert [entry["id"] for entry in listed(told)] == [1]


def test_a_trays_whole_dose_told_of_a_cup_is_kept_and_asked_about(told: Told) -> None:
    said = told("add", "tray", "set", "1.2").out
    assert "Is that for all 24? Then one cup got 0.05 g." in said
    assert said.splitlines()[-1] == "If not: naupliad care correct 2 …, or naupliad care withdraw 2."
