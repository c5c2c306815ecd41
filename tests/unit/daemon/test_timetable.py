"""Jobs come due by the same triggers in real and in played time."""

import threading
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from apscheduler.triggers.cron import CronTrigger

from daemon.timetable import Job, PlayedTimetable, RunningTimetable, last_due

LISBON = ZoneInfo("Europe/Lisbon")


def at(text: str) -> int:
    return int(datetime.fromisoformat(text).replace(tzinfo=LISBON).timestamp())


def job(name: str, **fields: int) -> Job:
    return Job(name, CronTrigger(timezone=LISBON, **fields), lambda _due: None)


NIGHTLY = job("nightly", hour=20, minute=0)
HOURLY = Job("hourly", CronTrigger(minute=0, timezone=UTC), lambda _due: None)


def names(due: list[tuple[Job, int]]) -> list[tuple[str, int]]:
    return [(found.name, moment) for found, moment in due]


def test_a_job_comes_due_at_its_local_time_once() -> None:
    timetable = PlayedTimetable([NIGHTLY], at("2027-01-15T19:58"))
    assert timetable.due(at("2027-01-15T19:59")) == []
    assert names(timetable.due(at("2027-01-15T20:00"))) == [("nightly", at("2027-01-15T20:00"))]
    assert timetable.due(at("2027-01-15T20:01")) == []


def test_a_job_missed_while_the_station_was_off_comes_once_inside_the_grace() -> None:
    timetable = PlayedTimetable([NIGHTLY, HOURLY], at("2027-01-15T19:30"))
    assert names(timetable.due(at("2027-01-16T01:30"))) == [
        ("nightly", at("2027-01-15T20:00")),
        ("hourly", at("2027-01-16T01:00")),
    ]


def test_a_job_missed_for_longer_than_the_grace_is_let_go() -> None:
    timetable = PlayedTimetable([NIGHTLY], at("2027-01-15T19:30"))
    assert timetable.due(at("2027-01-16T09:00")) == []
    assert names(timetable.due(at("2027-01-16T20:00"))) == [("nightly", at("2027-01-16T20:00"))]


@pytest.mark.parametrize("night", ["2027-03-28", "2027-10-31"])
def test_the_nights_on_which_the_clocks_change_have_one_nightly_letter(night: str) -> None:
    timetable = PlayedTimetable([NIGHTLY], at(f"{night}T00:00"))
    minutes = range(at(f"{night}T00:00"), at(f"{night}T23:59"), 60)
    assert [moment for minute in minutes for _, moment in timetable.due(minute)] == [at(f"{night}T20:00")]


def test_the_running_timetable_tells_at_once_of_a_job_missed_before_the_start() -> None:
    wake = threading.Event()
    timetable = RunningTimetable([NIGHTLY], wake, at("2027-01-15T21:00"), at("2027-01-10T08:00"))
    try:
        assert wake.is_set()
        assert names(timetable.due(at("2027-01-15T21:00"))) == [("nightly", at("2027-01-15T20:00"))]
        assert timetable.due(at("2027-01-15T21:00")) == []
    finally:
        timetable.close()


def test_a_job_due_before_the_stations_first_reading_is_not_made_up_for() -> None:
    wake, now = threading.Event(), at("2027-01-15T21:00")
    timetable = RunningTimetable([NIGHTLY], wake, now, now)
    try:
        assert not wake.is_set()
        assert timetable.due(now) == []
    finally:
        timetable.close()


def test_after_a_step_of_the_clock_the_running_timetable_waits_for_the_new_times() -> None:
    timetable = RunningTimetable([HOURLY], threading.Event(), 0, 0)
    try:
        timetable.clock_stepped(at("2030-05-01T10:30"))
        scheduled = timetable.next_times()
        assert scheduled == {"hourly": at("2030-05-01T11:00")}
    finally:
        timetable.close()


def test_the_last_time_a_job_was_due_is_looked_for_in_the_grace_only() -> None:
    assert last_due(NIGHTLY, at("2027-01-15T20:00")) == at("2027-01-15T20:00")
    assert last_due(NIGHTLY, at("2027-01-16T02:01")) is None


@pytest.mark.parametrize("night", ["2027-03-28", "2027-10-31"])
def test_real_and_played_time_have_the_same_jobs_on_the_nights_on_which_the_clocks_change(night: str) -> None:
    jobs = [NIGHTLY, HOURLY, job("morning", hour=7, minute=15)]
    began, ended = at(f"{night}T00:00") - 4 * 3600, at(f"{night}T23:00")
    played = PlayedTimetable(jobs, began)
    told = [pair for minute in range(began, ended, 60) for pair in names(played.due(minute))]
    running = RunningTimetable(jobs, threading.Event(), began, ended)  # its scheduler waits by the real clock
    try:
        scheduled, now = [], began - 1
        while True:
            running.clock_stepped(now + 1)
            nearest = min(running.next_times().values())
            if nearest >= ended:
                break
            scheduled += [(name, due) for name, due in running.next_times().items() if due == nearest]
            now = nearest
    finally:
        running.close()
    assert sorted(told, key=lambda pair: (pair[1], pair[0])) == sorted(
        scheduled, key=lambda pair: (pair[1], pair[0])
    )


def test_a_job_that_a_step_leapt_over_is_done_after_it() -> None:
    for timetable in (
        PlayedTimetable([NIGHTLY], at("2027-01-15T11:00")),
        RunningTimetable([NIGHTLY], threading.Event(), at("2027-01-15T11:00"), at("2027-01-15T11:00")),
    ):
        try:
            timetable.clock_stepped(at("2027-01-15T20:30"), since_s=at("2027-01-15T18:00"))
            assert names(timetable.due(at("2027-01-15T20:30"))) == [("nightly", at("2027-01-15T20:00"))]
        finally:
            timetable.close()
