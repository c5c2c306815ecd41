"""`naupliad plan start`: what it prints, what it refuses."""

import json
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from tests.kit.command_line import Said, naupliad
from tests.kit.station import station_text, table

LISBON = ZoneInfo("Europe/Lisbon")


def wednesday() -> str:
    """The day of a Wednesday one to two weeks ahead, by Lisbon's clock."""
    day = datetime.now(LISBON).date() + timedelta(days=8)
    return (day + timedelta(days=(2 - day.weekday()) % 7)).isoformat()


LESSON = f"{wednesday()}T10:00/{wednesday()}T11:30"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "station.toml"
    lot = table("[[lot]]", id="spring tin", strain="great-salt-lake")
    path.write_text(station_text(driver="rehearsal") + "\n" + lot, encoding="utf-8")
    return path


def plan(file: Path, *words: str | Path, lesson: str = LESSON) -> Said:
    return naupliad("plan", "start", "--for", lesson, "--config", file, *words)


def told(said: Said) -> Any:
    assert (said.code, said.err) == (0, "")
    return json.loads(said.out)


def test_the_json_is_that_of_the_contract(file: Path) -> None:
    answer = told(plan(file, "--water-c", "22", "--water-c-night", "19", "--lot", "spring tin", "--json"))
    assert answer["options"]
    shares = [one["share_in_lesson"] for one in answer["options"]]
    assert shares == sorted(shares, reverse=True)
    for one in answer["options"]:
        set_at = datetime.fromisoformat(one["set_at"])
        assert set_at.astimezone(LISBON).utcoffset() == set_at.utcoffset()
        assert set_at.weekday() < 5
        assert 8 <= set_at.hour < 16
        for share in ("t10", "t50", "t90"):
            moments = [datetime.fromisoformat(one[share][part]) for part in ("p10", "p50", "p90")]
            assert moments == sorted(moments)
            assert moments[0] > set_at
        assert 0.0 <= one["share_in_lesson"] <= one["share_under_way"] <= 1.0
    assert {one["kind"] for one in answer["days"]} >= {"set", "light", "lesson", "first-feed", "wrap-up"}
    assert all({"at", "p10", "p50", "p90"} == set(one) for one in answer["picture"])
    assert [one["kind"] for one in answer["warnings"]] == ["low"]


def test_in_words_the_best_time_comes_first_with_its_chances_and_the_days(file: Path) -> None:
    said = plan(file, "--water-c", "22")
    assert (said.code, said.err) == (0, "")
    lines = said.out.splitlines()
    assert lines[0].startswith("When to set cysts for Wednesday")
    assert lines[2].startswith("Set the cysts on Tuesday")
    assert "of 100" in said.out or "of 10" in said.out
    assert "Wash your hands" in said.out
    assert "Day by day:" in said.out


def test_a_strain_of_the_station_file_moves_the_times(file: Path) -> None:
    """Great Salt Lake is slower than any [R, secondary]: the same start hatches later."""
    words = ("--water-c", "24", "--water-c-night", "24", "--json")
    any_tin, slow = (told(plan(file, *words, *lot)) for lot in ((), ("--lot", "spring tin")))
    ahead = [
        datetime.fromisoformat(one["options"][0]["t50"]["p50"])
        - datetime.fromisoformat(one["options"][0]["set_at"])
        for one in (any_tin, slow)
    ]
    assert ahead[0] < ahead[1]


def test_a_moment_is_taken_with_half_an_hour_to_either_side(file: Path) -> None:
    answer = told(plan(file, "--water-c", "22", "--json", lesson=f"{wednesday()}T10:45"))
    assert (answer["lesson"]["from"][11:16], answer["lesson"]["to"][11:16]) == ("10:15", "11:15")


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("--water-c", "warm"), "--water-c: found 'warm'; allowed: °C from 0 to 45, such as 21.5"),
        (("--water-c", "220"), "--water-c: found '220'; allowed: °C from 0 to 45, such as 21.5"),
        (
            ("--water-c", "22", "--water-c-night", "x"),
            "--water-c-night: found 'x'; allowed: °C from 0 to 45, such as 21.5",
        ),
        (("--water-c-night", "19"), "--water-c-night: found '19' without --water-c; allowed: with --water-c"),
        (("--water-c", "22", "--vessel", "cub"), "--vessel: found 'cub' (did you mean cup?); allowed: cup"),
    ],
)
def test_a_wrong_word_is_refused_in_one_line(file: Path, words: tuple[str, ...], line: str) -> None:
    said = plan(file, *words)
    assert (said.code, said.out) == (2, "")
    assert said.faults == [line]


def test_a_lesson_in_the_past_is_refused_in_one_line(file: Path) -> None:
    said = plan(file, "--water-c", "22", lesson="2026-03-10T10:00/2026-03-10T11:30")
    assert (said.code, said.out) == (2, "")
    (line,) = said.faults
    assert line.startswith("--for: found 2026-03-10T10:00+00:00 to 2026-03-10T11:30+00:00, which has begun")
