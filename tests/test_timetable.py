"""Jobs come due by one timetable, whoever's clock it goes by."""

from datetime import datetime, time
from zoneinfo import ZoneInfo

import pytest

from daemon.timetable import Job, Timetable, Trigger, every_day, every_hour, last_due

LISBON = ZoneInfo("Europe/Lisbon")


def at(text: str) -> int:
    return int(datetime.fromisoformat(text).replace(tzinfo=LISBON).timestamp())


def job(name: str, trigger: Trigger) -> Job:
    return Job(name, trigger, lambda _due: None)


NIGHTLY = job("nightly", every_day(time(20), LISBON))
MORNING = job("morning", every_day(time(7, 15), LISBON))
HOURLY = job("hourly", every_hour())


def begun(jobs: list[Job], now: int) -> Timetable:
    """The timetable of a station that had its first reading now."""
    return Timetable(jobs, now, now)


def names(due: list[tuple[Job, int]]) -> list[tuple[str, int]]:
    return [(found.name, moment) for found, moment in due]


def test_a_job_comes_due_at_its_local_time_once() -> None:
    timetable = begun([NIGHTLY], at("2027-01-15T19:58"))
    assert timetable.due(at("2027-01-15T19:59")) == []
    assert names(timetable.due(at("2027-01-15T20:00"))) == [("nightly", at("2027-01-15T20:00"))]
    assert timetable.due(at("2027-01-15T20:01")) == []


def test_a_job_due_at_the_moment_of_the_start_comes_due_once() -> None:
    timetable = begun([NIGHTLY], at("2027-01-15T20:00"))
    assert names(timetable.due(at("2027-01-15T20:00"))) == [("nightly", at("2027-01-15T20:00"))]
    assert timetable.due(at("2027-01-15T20:00")) == []


def test_the_next_due_moment_is_that_of_the_earliest_job_and_moves_on_when_it_is_told() -> None:
    timetable = begun([NIGHTLY, HOURLY], at("2027-01-15T19:30"))
    assert timetable.next_due_s() == at("2027-01-15T20:00")
    assert len(timetable.due(at("2027-01-15T20:00"))) == 2
    assert timetable.next_due_s() == at("2027-01-15T21:00")


def test_a_job_missed_while_the_station_was_off_comes_once_inside_the_grace() -> None:
    timetable = begun([NIGHTLY, HOURLY], at("2027-01-15T19:30"))
    assert names(timetable.due(at("2027-01-16T01:30"))) == [
        ("nightly", at("2027-01-15T20:00")),
        ("hourly", at("2027-01-16T01:00")),
    ]


def test_a_job_missed_for_longer_than_the_grace_is_let_go() -> None:
    timetable = begun([NIGHTLY], at("2027-01-15T19:30"))
    assert timetable.due(at("2027-01-16T09:00")) == []
    assert names(timetable.due(at("2027-01-16T20:00"))) == [("nightly", at("2027-01-16T20:00"))]


def test_a_job_missed_before_the_start_is_due_at_once() -> None:
    timetable = Timetable([NIGHTLY], at("2027-01-15T21:00"), at("2027-01-10T08:00"))
    assert timetable.next_due_s() <= at("2027-01-15T21:00")
    assert names(timetable.due(at("2027-01-15T21:00"))) == [("nightly", at("2027-01-15T20:00"))]
    assert timetable.due(at("2027-01-15T21:00")) == []


def test_a_job_missed_before_the_start_for_longer_than_the_grace_is_let_go() -> None:
    timetable = Timetable([NIGHTLY], at("2027-01-16T02:01"), at("2027-01-10T08:00"))
    assert timetable.due(at("2027-01-16T02:01")) == []
    assert timetable.next_due_s() == at("2027-01-16T20:00")


def test_a_job_due_before_the_stations_first_reading_is_not_made_up_for() -> None:
    timetable = begun([NIGHTLY], at("2027-01-15T21:00"))
    assert timetable.due(at("2027-01-15T21:00")) == []
    assert timetable.next_due_s() == at("2027-01-16T20:00")


def test_a_clock_behind_the_stations_first_reading_holds_no_job_up() -> None:
    timetable = Timetable([HOURLY], at("2027-01-15T11:30"), since_s=at("2027-01-15T18:00"))
    assert timetable.next_due_s() == at("2027-01-15T12:00")


def test_the_last_time_a_job_was_due_is_looked_for_in_the_grace_only() -> None:
    assert last_due(NIGHTLY, at("2027-01-15T20:00")) == at("2027-01-15T20:00")
    assert last_due(NIGHTLY, at("2027-01-16T02:01")) is None


@pytest.mark.parametrize(("night", "hours"), [("2027-03-28", 23), ("2027-10-31", 25)])
def test_the_nights_on_which_the_clocks_change_have_one_nightly_letter_and_every_hour(
    night: str, hours: int
) -> None:
    # Portugal's clocks change on the last Sundays of March and October (Directive 2000/84/EC).
    began, ended = at(f"{night}T00:00"), at(f"{night}T23:59") + 60
    timetable = begun([NIGHTLY, HOURLY, MORNING], began)
    told = [pair for minute in range(began, ended, 60) for pair in names(timetable.due(minute))]
    assert [moment for name, moment in told if name == "nightly"] == [at(f"{night}T20:00")]
    assert [moment for name, moment in told if name == "morning"] == [at(f"{night}T07:15")]
    assert [moment for name, moment in told if name == "hourly"] == [began + 3600 * n for n in range(hours)]


@pytest.mark.parametrize("night", ["2027-01-15", "2027-03-28", "2027-10-31"])
def test_who_waits_for_each_next_moment_has_the_jobs_of_who_asks_every_minute(night: str) -> None:
    began, ended = at(f"{night}T00:00") - 4 * 3600, at(f"{night}T23:00")
    asking, waiting = (begun([NIGHTLY, HOURLY, MORNING], began) for _ in range(2))
    asked = [pair for minute in range(began, ended, 60) for pair in names(asking.due(minute))]
    waited: list[tuple[str, int]] = []
    while (moment := waiting.next_due_s()) < ended:
        due = names(waiting.due(int(moment)))
        assert {when for _, when in due} == {moment}
        waited += due
    assert waited == asked


def test_after_a_step_of_the_clock_the_next_moment_is_one_of_the_new_time() -> None:
    for before in ("2025-09-01T10:30", "2032-02-01T10:30"):
        timetable = begun([HOURLY], at(before))
        timetable.work_out(at("2030-05-01T10:30"), at("2030-05-01T10:30"))
        assert timetable.next_due_s() == at("2030-05-01T11:00")


def test_a_job_that_a_step_leapt_over_is_done_after_it() -> None:
    timetable = begun([NIGHTLY], at("2027-01-15T11:00"))
    timetable.work_out(at("2027-01-15T20:30"), since_s=at("2027-01-15T18:00"))
    assert names(timetable.due(at("2027-01-15T20:30"))) == [("nightly", at("2027-01-15T20:00"))]


def test_a_clock_that_steps_ahead_by_years_brings_each_job_once() -> None:
    timetable = begun([NIGHTLY, HOURLY], at("2025-09-01T10:30"))
    timetable.work_out(at("2030-05-01T21:30"), at("2025-09-01T10:30"))
    assert names(timetable.due(at("2030-05-01T21:30"))) == [
        ("nightly", at("2030-05-01T20:00")),
        ("hourly", at("2030-05-01T21:00")),
    ]


def test_without_jobs_none_is_ever_due() -> None:
    timetable = begun([], at("2027-01-15T11:00"))
    assert timetable.next_due_s() == float("inf")
    assert timetable.due(at("2037-01-15T11:00")) == []
