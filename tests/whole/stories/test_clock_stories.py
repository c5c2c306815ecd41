"""The shipped stories about clocks, played through: a stale clock, and the two nights of odd length."""

from datetime import date
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path

import pytest

from daemon.config import parse_station
from daemon.letters.night_record import night_ends, night_record
from daemon.play.story_file import read_story
from daemon.store.file import open_for_reading
from tests.kit.command_line import Said, begin, ended
from tests.kit.played import Played
from tests.kit.recordings import unix

STORIES = ("stale-clock", "summer-time", "winter-time")
ON, SET = unix("2027-01-20T07:30:00+00:00"), unix("2027-01-20T10:30:00+00:00")


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Played]:
    folder = tmp_path_factory.mktemp("clocks")
    running = {name: begin("rehearse", name, folder=folder) for name in STORIES}
    said: dict[str, Said] = {name: ended(process) for name, process in running.items()}
    return {name: Played(folder / f"rehearsal-{name}", said[name]) for name in STORIES}


@pytest.mark.parametrize("name", STORIES)
def test_the_letters_a_story_calls_for_come_and_no_others(played: dict[str, Played], name: str) -> None:
    said = played[name].said
    assert (said.code, said.faults) == (0, [])


@pytest.mark.parametrize(
    ("name", "night", "hours"),
    [
        ("summer-time", "2027-03-28", 23),
        ("winter-time", "2027-10-31", 25),
        ("summer-time", "2027-03-27", 24),
    ],
)
def test_the_record_of_a_night_is_as_long_as_the_night_was(
    played: dict[str, Played], name: str, night: str, hours: int
) -> None:
    station = parse_station(read_story(name).station_text, name)
    connection = open_for_reading(played[name].folder)
    record = night_record(station, connection, night_ends(station, date.fromisoformat(night)))
    connection.close()
    span_s = record.span.ended.timestamp() - record.span.began.timestamp()
    assert span_s == hours * 3600
    assert record.readings_good == record.readings_expected == (hours * 30 + 1) * 2
    assert record.clock_sure
    assert record.clock_put_right is None


def test_readings_of_a_stale_clock_have_the_times_at_which_they_were_taken(played: dict[str, Played]) -> None:
    rows = played["stale-clock"].rows(
        "SELECT at FROM reading WHERE probe = 'cup-water' AND at BETWEEN ? AND ? ORDER BY at", ON - 1, SET
    )
    assert [at for (at,) in rows] == list(range(ON, SET + 1, 60))


def test_the_deed_told_meanwhile_and_the_outage_before_have_their_true_times(
    played: dict[str, Played],
) -> None:
    told = played["stale-clock"]
    assert told.rows("SELECT at FROM deed WHERE deed = 'top-up'") == [(unix("2027-01-20T09:00:00+00:00"),)]
    off = unix("2027-01-19T22:00:00+00:00")
    assert told.rows("SELECT began, ended, clock_trusted FROM outage") == [(off, ON, 1)]


def test_estimates_of_the_stretch_are_there_for_every_hour_of_it(played: dict[str, Played]) -> None:
    rows = played["stale-clock"].rows(
        "SELECT DISTINCT at FROM estimate WHERE at BETWEEN ? AND ? AND at % 3600 = 0 ORDER BY at", ON, SET
    )
    assert [at for (at,) in rows] == [unix(f"2027-01-20T{hour:02}:00:00+00:00") for hour in (8, 9, 10)]


def test_the_letter_about_the_outage_says_by_how_much_the_clock_was_wrong(played: dict[str, Played]) -> None:
    (name,) = (played["stale-clock"].folder / "letters").glob("*-outage.eml")
    read = message_from_bytes(Path(name).read_bytes(), policy=policy.default)
    assert isinstance(read, EmailMessage)
    text = " ".join(str(read.get_body(("plain",)).get_content()).split())
    assert "was off for 9 hours 30 minutes" in text
    assert "The clock of Room 7 was wrong by 9 hours 28 minutes and has been put right." in text
    assert "not known to be right" not in text
