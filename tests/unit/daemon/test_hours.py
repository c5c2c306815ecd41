"""The local calendar, against wall clocks, the laws that set clock changes, and brute force."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from daemon.hours import (
    attended_spans,
    daily_spans,
    in_daily_hours,
    is_attended,
    moment,
    next_absence,
    next_attended,
    next_local_time,
    quiet_ends,
)
from daemon.station import DailyHours, DaySpan, WeeklyHours
from tests.kit.station import station as small_room

LISBON = ZoneInfo("Europe/Lisbon")
NEW_YORK = ZoneInfo("America/New_York")
NIGHT = DailyHours(time(18), time(7))
SCHOOL = WeeklyHours(frozenset(range(5)), DailyHours(time(8), time(15, 30)))

# Directive 2000/84/EC: last Sundays of March and October at 01:00 UTC. US Energy Policy Act of 2005,
# section 110: second Sunday of March, first Sunday of November, at 2 o'clock local time.
CHANGES = [
    (LISBON, "2027-03-28T01:00Z"),
    (LISBON, "2027-10-31T01:00Z"),
    (NEW_YORK, "2027-03-14T07:00Z"),
    (NEW_YORK, "2027-11-07T06:00Z"),
]


def utc(text):
    return int(datetime.fromisoformat(text).timestamp())


def station(attended=(SCHOOL,), away=(), zone=LISBON):
    return replace(small_room(), timezone=zone, attended=tuple(attended), away=tuple(away))


def wall(at, zone):
    return datetime.fromtimestamp(at, UTC).astimezone(zone)


def on_the_clock(hours, clock):
    if hours.begins < hours.ends:
        return hours.begins <= clock < hours.ends
    return clock >= hours.begins or clock < hours.ends


clocks = st.builds(time, st.integers(0, 23), st.sampled_from([0, 15, 30, 59]))
daily_hours = st.builds(DailyHours, clocks, clocks)
zones = st.sampled_from([LISBON, NEW_YORK])
moments_of_2027 = st.integers(utc("2027-01-01T00:00Z"), utc("2027-12-31T00:00Z"))


@given(daily_hours, moments_of_2027, zones)
def test_away_from_clock_changes_hours_are_what_the_wall_clock_shows(hours, at, zone):
    assume(wall(at - 7200, zone).utcoffset() == wall(at + 7200, zone).utcoffset())
    assert in_daily_hours(hours, at, zone) == on_the_clock(hours, wall(at, zone).time())


@given(st.sampled_from(CHANGES), st.integers(-10_800, 10_800), daily_hours)
def test_on_nights_of_clock_changes_spans_and_moments_agree(change, away_s, hours):
    zone, at = change[0], utc(change[1]) + away_s
    spans = daily_spans(hours, zone, at - 86_400, at + 86_400)
    assert in_daily_hours(hours, at, zone) == any(began <= at < ended for began, ended in spans)
    assert all(a[1] < b[0] for a, b in pairwise(spans))


@given(st.sampled_from(CHANGES), st.integers(-10_800, 10_800), clocks)
def test_the_next_local_time_is_the_first_moment_at_which_the_clock_shows_it(change, away_s, clock):
    zone, at = change[0], utc(change[1]) + away_s
    found = next_local_time(clock, at, zone)
    assert at <= found <= at + 26 * 3600
    shown = wall(found, zone)
    before = wall(found - 1, zone)
    skipped = shown.utcoffset() != before.utcoffset() and before.time() < clock < shown.time()
    assert shown.time() == clock or skipped
    day = shown.date()
    assert moment(day, clock, zone) == found


@pytest.mark.parametrize(
    ("zone", "evening", "hours_long"),
    [
        (LISBON, "2027-03-27T18:00+00:00", 12),
        (LISBON, "2027-10-30T18:00+01:00", 14),
        (NEW_YORK, "2027-03-13T18:00-05:00", 12),
        (NEW_YORK, "2027-11-06T18:00-04:00", 14),
    ],
)
def test_a_night_of_thirteen_hours_is_an_hour_shorter_or_longer_when_the_clock_changes(
    zone, evening, hours_long
):
    began = utc(evening)
    assert daily_spans(NIGHT, zone, began - 3600, began + 20 * 3600) == [(began, began + hours_long * 3600)]


def test_a_begin_that_the_clock_skips_is_the_moment_of_the_change():
    # Lisbon goes from 01:00 to 02:00 on 2027-03-28; there is no 01:30.
    spans = daily_spans(
        DailyHours(time(1, 30), time(7)), LISBON, utc("2027-03-28T00:00Z"), utc("2027-03-28T12:00Z")
    )
    assert spans == [(utc("2027-03-28T01:00Z"), utc("2027-03-28T06:00Z"))]


def test_hours_that_the_clock_skips_altogether_are_left_out():
    hours = DailyHours(time(1, 15), time(1, 45))
    assert daily_spans(hours, LISBON, utc("2027-03-28T00:00Z"), utc("2027-03-28T12:00Z")) == []


def test_a_time_that_comes_twice_counts_the_first_time():
    # Lisbon's 01:30 of 2027-10-31 is at 00:30 UTC and again at 01:30 UTC.
    assert next_local_time(time(1, 30), utc("2027-10-31T00:00Z"), LISBON) == utc("2027-10-31T00:30Z")
    assert next_local_time(time(1, 30), utc("2027-10-31T01:00Z"), LISBON) == utc("2027-11-01T01:30Z")


def test_the_next_local_time_is_now_when_it_is_now():
    at = utc("2027-02-12T20:00Z")
    assert next_local_time(time(20), at, LISBON) == at
    assert next_local_time(time(20), at + 1, LISBON) == at + 86_400


def test_whole_day_hours_are_one_stretch():
    began, ended = utc("2027-02-12T03:00Z"), utc("2027-02-15T03:00Z")
    assert daily_spans(DailyHours(time(0), time(0)), LISBON, began, ended) == [(began, ended)]


def test_an_end_lies_outside_its_hours():
    assert in_daily_hours(NIGHT, utc("2027-02-12T06:59:59Z"), LISBON)
    assert not in_daily_hours(NIGHT, utc("2027-02-12T07:00:00Z"), LISBON)


def test_quiet_ends_in_the_morning_and_only_when_it_is_quiet():
    quiet = DailyHours(time(20), time(7))
    assert quiet_ends(quiet, utc("2027-02-12T23:00Z"), LISBON) == utc("2027-02-13T07:00Z")
    assert quiet_ends(quiet, utc("2027-02-13T03:00Z"), LISBON) == utc("2027-02-13T07:00Z")
    assert quiet_ends(quiet, utc("2027-02-13T07:00Z"), LISBON) is None
    assert quiet_ends(None, utc("2027-02-13T03:00Z"), LISBON) is None


def test_a_school_week_has_its_nights_and_its_weekend():
    school = station()
    friday = utc("2027-02-12T15:00Z")
    assert is_attended(school, friday)
    assert next_attended(school, friday) == friday
    assert not is_attended(school, utc("2027-02-12T15:30Z"))
    assert next_attended(school, utc("2027-02-12T15:30Z")) == utc("2027-02-15T08:00Z")
    assert next_absence(school, friday, 40) == (utc("2027-02-12T15:30Z"), utc("2027-02-15T08:00Z"))
    assert next_absence(school, utc("2027-02-10T12:00Z"), 16) == (
        utc("2027-02-10T15:30Z"),
        utc("2027-02-11T08:00Z"),
    )


def test_an_absence_under_way_is_told_from_its_own_beginning():
    sunday = utc("2027-02-14T12:00Z")
    assert next_absence(station(), sunday, 40) == (utc("2027-02-12T15:30Z"), utc("2027-02-15T08:00Z"))


def test_away_days_make_a_weekend_longer():
    school = station(away=[DaySpan(date(2027, 2, 15), date(2027, 2, 19))])
    assert not is_attended(school, utc("2027-02-17T10:00Z"))
    assert next_absence(school, utc("2027-02-17T10:00Z"), 40) == (
        utc("2027-02-12T15:30Z"),
        utc("2027-02-22T08:00Z"),
    )


def test_a_summer_of_away_days_is_seen_from_its_middle():
    school = station(away=[DaySpan(date(2027, 6, 21), date(2027, 9, 10))])
    absence = (utc("2027-06-18T15:30+01:00"), utc("2027-09-13T08:00+01:00"))
    assert next_absence(school, utc("2027-08-01T12:00Z"), 40) == absence
    assert next_attended(school, utc("2027-08-01T12:00Z")) == absence[1]


def test_without_attended_hours_somebody_is_always_there():
    always = station(attended=())
    at = utc("2027-02-13T03:00Z")
    assert is_attended(always, at)
    assert next_attended(always, at) == at
    assert next_absence(always, at, 1) is None


def test_without_attended_hours_away_days_are_the_absences():
    always = station(attended=(), away=[DaySpan(date(2028, 2, 15), date(2028, 2, 15))])
    absence = (utc("2028-02-15T00:00Z"), utc("2028-02-16T00:00Z"))
    assert next_absence(always, utc("2027-02-13T03:00Z"), 24) == absence
    assert next_absence(always, utc("2027-02-13T03:00Z"), 24.1) is None
    assert not is_attended(always, absence[0])
    assert next_attended(always, absence[0]) == absence[1]


def test_no_absence_is_long_enough_in_a_week_of_short_nights():
    daily = station(attended=[WeeklyHours(frozenset(range(7)), DailyHours(time(6), time(22)))])
    assert next_absence(daily, utc("2027-02-13T03:00Z"), 9) is None


def test_hours_past_midnight_belong_to_the_day_they_begin_on():
    late = station(attended=[WeeklyHours(frozenset({4}), DailyHours(time(22), time(2)))])
    assert is_attended(late, utc("2027-02-13T01:00Z"))  # Saturday morning, begun on Friday
    assert not is_attended(late, utc("2027-02-12T01:00Z"))


def test_an_away_day_cuts_hours_that_reach_into_it():
    late = station(
        attended=[WeeklyHours(frozenset({4}), DailyHours(time(22), time(2)))],
        away=[DaySpan(date(2027, 2, 13), date(2027, 2, 13))],
    )
    began, ended = utc("2027-02-12T20:00Z"), utc("2027-02-14T00:00Z")
    assert attended_spans(late, began, ended) == [(utc("2027-02-12T22:00Z"), utc("2027-02-13T00:00Z"))]


# Whole hours outside the hours that clock changes touch, so that an oracle may walk in half hours.
day_hours = st.tuples(st.integers(4, 21), st.integers(1, 2)).map(
    lambda t: DailyHours(time(t[0]), time(t[0] + t[1]))
)
weeks = st.lists(
    st.builds(WeeklyHours, st.frozensets(st.integers(0, 6), min_size=1), day_hours), min_size=1, max_size=3
)
spans_away = st.lists(
    st.tuples(st.integers(0, 25), st.integers(0, 9)).map(
        lambda t: DaySpan(date(2027, 3, 20) + timedelta(t[0]), date(2027, 3, 20) + timedelta(t[0] + t[1]))
    ),
    max_size=2,
)


def walked(room, at):
    """Whether attended, told by the wall clock alone."""
    local = wall(at, room.timezone)
    if any(gone.first <= local.date() <= gone.last for gone in room.away):
        return False
    return any(
        local.weekday() in weekly.weekdays and on_the_clock(weekly.hours, local.time())
        for weekly in room.attended
    )


@settings(max_examples=60, deadline=None)
@given(weeks, spans_away, zones, st.integers(0, 2 * 24 * 30), st.sampled_from([1.0, 15.0, 40.0, 100.0]))
def test_presence_and_absence_agree_with_a_walk_through_the_calendar(
    attended, away, zone, half_hours, min_hours
):
    room = station(attended, away, zone)
    began = utc("2027-02-20T00:00Z")
    grid = range(began, began + 90 * 86_400, 1800)
    present = [at for at in grid if walked(room, at)]
    at = utc("2027-03-13T00:00Z") + half_hours * 1800
    assert is_attended(room, at) == walked(room, at)
    assert next_attended(room, at) == next(p for p in present if p >= at)
    gaps = [(a + 1800, b) for a, b in pairwise(present) if b - a > 1800]
    wanted = [gap for gap in gaps if gap[1] > at and gap[1] - gap[0] >= min_hours * 3600]
    assert next_absence(room, at, min_hours) == (wanted[0] if wanted else None)
