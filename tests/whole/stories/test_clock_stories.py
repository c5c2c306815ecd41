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
from tests.kit.command_line import naupliad
from tests.kit.plays import Plays
from tests.kit.recordings import unix
from tests.kit.telling import Telling

ON, SET = unix("2027-01-20T07:30:00+00:00"), unix("2027-01-20T10:30:00+00:00")


@pytest.mark.parametrize(
    ("name", "night"),
    [("summer-time", "2027-03-28"), pytest.param("winter-time", "2027-10-31", marks=pytest.mark.long)],
)
def test_a_night_of_odd_length_has_its_letter_and_its_chart(
    told: Plays[Telling], tmp_path: Path, name: str, night: str
) -> None:
    said = naupliad("report", night, "--state", told[name].left.folder, "--out", tmp_path / "report")
    assert (said.code, said.err) == (0, "")
    assert (tmp_path / "report" / "letter.txt").is_file()
    assert (tmp_path / "report" / "charts" / f"{night}.png").read_bytes().startswith(b"\x89PNG\r\n\x1a\n")


@pytest.mark.parametrize(
    ("name", "night", "hours"),
    [
        ("summer-time", "2027-03-28", 23),
        ("winter-time", "2027-10-31", 25),
        ("summer-time", "2027-03-27", 24),
    ],
)
def test_the_record_of_a_night_is_as_long_as_the_night_was(
    told: Plays[Telling], name: str, night: str, hours: int
) -> None:
    station = parse_station(read_story(name).station_text, name)
    connection = open_for_reading(told[name].left.folder)
    record = night_record(station, connection, night_ends(station, date.fromisoformat(night)))
    connection.close()
    span_s = record.span.ended.timestamp() - record.span.began.timestamp()
    assert span_s == hours * 3600
    assert record.readings_good == record.readings_expected == (hours * 30 + 1) * 2
    assert record.clock_sure
    assert record.clock_put_right is None


def test_readings_of_a_stale_clock_have_the_times_at_which_they_were_taken(told: Plays[Telling]) -> None:
    rows = told["stale-clock"].left.rows(
        "SELECT at FROM reading WHERE probe = 'cup-water' AND at BETWEEN ? AND ? ORDER BY at", ON - 1, SET
    )
    assert [at for (at,) in rows] == list(range(ON, SET + 1, 60))


def test_the_deed_told_meanwhile_and_the_outage_before_have_their_true_times(
    told: Plays[Telling],
) -> None:
    left = told["stale-clock"].left
    assert left.rows("SELECT at FROM deed WHERE deed = 'top-up'") == [(unix("2027-01-20T09:00:00+00:00"),)]
    off = unix("2027-01-19T22:00:00+00:00")
    assert left.rows("SELECT began, ended, clock_trusted FROM outage") == [(off, ON, 1)]


def test_estimates_of_the_stretch_are_there_for_every_hour_of_it(told: Plays[Telling]) -> None:
    rows = told["stale-clock"].left.rows(
        "SELECT DISTINCT at FROM estimate WHERE at BETWEEN ? AND ? AND at % 3600 = 0 ORDER BY at", ON, SET
    )
    assert [at for (at,) in rows] == [unix(f"2027-01-20T{hour:02}:00:00+00:00") for hour in (8, 9, 10)]


def test_the_letter_about_the_outage_says_by_how_much_the_clock_was_wrong(told: Plays[Telling]) -> None:
    (name,) = (told["stale-clock"].left.folder / "letters").glob("*-outage.eml")
    read = message_from_bytes(Path(name).read_bytes(), policy=policy.default)
    assert isinstance(read, EmailMessage)
    text = " ".join(str(read.get_body(("plain",)).get_content()).split())
    assert str(read["Subject"]).startswith("Station was off 9 hours 30 minutes")
    assert "The clock of Room 7 was 9 hours 28 minutes behind and has been put right." in text
    assert "not known to be right" not in text
