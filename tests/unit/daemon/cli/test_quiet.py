"""`naupliad quiet` and `naupliad alarms`, on a store that was played and has no daemon beside it."""

import json
import os
import pwd
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from daemon.cli.quiet import end_of_quiet
from daemon.errors import InputError
from tests.kit.command_line import naupliad
from tests.kit.recordings import good, tape_rows, unix, write_care, write_tape
from tests.kit.station import station, station_text
from tests.kit.undrawn import undrawn

LISBON = ZoneInfo("Europe/Lisbon")
STATION = station()
FRIDAY = int(datetime(2027, 1, 15, 14, 0, tzinfo=LISBON).timestamp())


def moment(text: str) -> int:
    return int(datetime.fromisoformat(text).replace(tzinfo=LISBON).timestamp())


@pytest.mark.parametrize(
    ("told", "means"),
    [
        ("monday", "2027-01-18T07:15"),
        ("Mon", "2027-01-18T07:15"),
        ("friday", "2027-01-22T07:15"),
        ("tomorrow", "2027-01-16T07:15"),
        ("2027-01-20", "2027-01-20T07:15"),
        ("18:30", "2027-01-15T18:30"),
        ("07:15", "2027-01-16T07:15"),
        ("2027-01-17T12:00:00+00:00", "2027-01-17T12:00"),
    ],
)
def test_an_end_is_told_as_people_tell_it_and_a_day_means_its_morning(told: str, means: str) -> None:
    assert end_of_quiet(STATION, told, FRIDAY) == moment(means)


@pytest.mark.parametrize("told", ["", "mo", "someday", "2027-13-01", "25:00", "2027-01-17T12:00:00"])
def test_what_means_no_moment_is_refused_with_what_is_allowed(told: str) -> None:
    with pytest.raises(InputError, match=r"UNTIL: found .*; allowed: a weekday"):
        end_of_quiet(STATION, told, FRIDAY)


@pytest.fixture(scope="module")
def state(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A morning in a room that is too cold, played from a tape."""
    folder = tmp_path_factory.mktemp("cold")
    began = unix("2027-01-15T09:00:00+00:00")
    write_tape(folder / "tape.csv", tape_rows(began, 180, good(17.0)))
    write_care(folder / "care.csv", "2027-01-15T05:05:00+00:00,cup,set,0.05,g,salt_g_per_l=25")
    (folder / "station.toml").write_text(station_text(), encoding="utf-8")
    files = (folder / "tape.csv", "--care", folder / "care.csv", "--config", folder / "station.toml")
    with undrawn():
        played = naupliad("replay", *files, "--out", folder / "out")
    assert played.code == 0, played.err
    return folder / "out"


def test_quiet_until_monday_is_one_command_and_ends_with_another(state: Path) -> None:
    assert naupliad("quiet", "--state", state).out == "Letters go as usual.\n"
    told = naupliad("quiet", "monday", "--state", state)
    assert told.code == 0
    assert "No letters until Monday 18 January at 07:15" in told.out
    assert "33 °C (91 °F)" in told.out
    ends = json.loads(naupliad("quiet", "--state", state, "--json").out)["quiet_until"]
    assert ends.startswith("2027-01-18T07:15")
    assert naupliad("quiet", "--off", "--state", state).out == "Letters go as usual.\n"


def test_a_quiet_time_that_is_over_or_lasts_a_year_is_refused(state: Path) -> None:
    for until in ("2026-01-01", "2028-01-15"):
        refused = naupliad("quiet", until, "--state", state)
        assert refused.code == 2
        assert "until: found" in refused.err


def test_an_alarm_is_shelved_for_a_time_and_taken_back(state: Path) -> None:
    def cold() -> dict[str, str]:
        rows = json.loads(naupliad("alarms", "list", "--state", state, "--json").out)
        return next(row for row in rows if row["condition"] == "cold")

    assert cold()["state"] == "unacknowledged"
    told = naupliad("alarms", "shelve", "cup", "cold", "--until", "tomorrow", "--state", state)
    assert told.out == "cold of cup is silenced until tomorrow at 07:15\n"
    assert cold()["state"] == "shelved"
    assert cold()["until"].startswith("2027-01-16T07:15")
    naupliad("alarms", "take-back", "cup", "cold", "--state", state)
    naupliad("alarms", "out-of-service", "cup", "cold", "--state", state)
    assert cold()["state"] == "out of service"
    assert "out of service" in naupliad("alarms", "list", "--state", state).out
    naupliad("alarms", "take-back", "cup", "cold", "--state", state)
    assert "cold" not in naupliad("alarms", "list", "--state", state).out


def test_an_alarm_that_is_put_aside_stands_in_the_state_as_silenced(state: Path) -> None:
    def silenced() -> list[dict[str, str | None]]:
        cup = json.loads(naupliad("now", "--state", state, "--json").out)["vessels"]["cup"]
        return list(cup["silenced"])

    assert silenced() == []
    naupliad("alarms", "shelve", "cup", "hot", "--until", "tomorrow", "--state", state)
    (hot,) = silenced()
    assert (hot["condition"], str(hot["until"])[:16]) == ("hot", "2027-01-16T07:15")
    me = pwd.getpwuid(os.getuid()).pw_name
    assert hot["by"] == me
    assert f"Silenced by {me} until tomorrow at 07:15: warm water." in naupliad("now", "--state", state).out
    assert f"cup: hot, shelved by {me}, since" in naupliad("alarms", "list", "--state", state).out
    naupliad("alarms", "out-of-service", "cup", "hot", "--state", state)
    assert silenced()[0]["until"] is None
    assert (
        f"Silenced by {me} until somebody takes it back: warm water." in naupliad("now", "--state", state).out
    )
    naupliad("alarms", "take-back", "cup", "hot", "--state", state)
    assert silenced() == []


def test_an_alarm_of_the_station_itself_is_named_so(state: Path) -> None:
    told = naupliad("alarms", "shelve", "", "storage", "--until", "tomorrow", "--state", state)
    assert told.out == "storage of the station is silenced until tomorrow at 07:15\n"
    assert "the station: storage, shelved" in naupliad("alarms", "list", "--state", state).out
    assert naupliad("alarms", "take-back", "", "storage", "--state", state).out.startswith(
        "storage of the station"
    )


def test_a_vessel_or_condition_that_is_not_there_is_refused_with_those_that_are(state: Path) -> None:
    vessel = naupliad("alarms", "shelve", "mug", "cold", "--until", "tomorrow", "--state", state)
    assert (vessel.code, "vessel: found 'mug'; allowed: cup" in vessel.err) == (2, True)
    condition = naupliad("alarms", "out-of-service", "cup", "gloomy", "--state", state)
    assert condition.code == 2
    assert "condition: found 'gloomy'; allowed: cold, cold-ahead, hot, hot-ahead, probe" in condition.err
