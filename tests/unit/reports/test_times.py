"""Believed moments in plain words: to the half hour, or to the day, and what is not known is said so."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports import times
from reports.records import TimeRange
from tests.kit.report_samples import ZONE, local

NOW = local(15, 20)
MINUTES = st.lists(st.integers(-2000, 4000), min_size=3, max_size=3).map(sorted)


def ahead(minutes):
    return (NOW.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(ZONE)


def to_half_hour(at):
    """The nearest half hour, by the wall clock of a zone that is whole hours from UTC."""
    return datetime.fromtimestamp(round(at.timestamp() / 1800) * 1800, ZONE)


@pytest.mark.parametrize(
    ("at", "said"),
    [
        (
            TimeRange(local(16, 2, 12), local(16, 3, 20), local(16, 5, 50)),
            "most likely tomorrow at 03:30 (02:00 to 06:00)",
        ),
        (
            TimeRange(local(15, 22), local(16, 2), local(16, 5)),
            "most likely tomorrow at 02:00 (Fri 22:00 to Sat 05:00)",
        ),
        (
            TimeRange(local(16, 2), local(18, 9), local(21, 5)),
            "most likely Monday 18 January (Sat 16 Jan to Thu 21 Jan)",
        ),
        (
            TimeRange(local(25, 2), local(25, 9), local(26, 5)),
            "most likely Monday 25 January at 09:00 (Mon 25 Jan at 02:00 to Tue 26 Jan at 05:00)",
        ),
        (TimeRange(local(16, 2), local(16, 2, 5), local(16, 2, 10)), "about tomorrow at 02:00"),
        (TimeRange(None, None, None), "not known yet"),
        (TimeRange(local(16, 2), None, None), "not before tomorrow at 02:00"),
        (
            TimeRange(local(15, 22), local(16, 2), None),
            "most likely tomorrow at 02:00 (not before Fri 22:00)",
        ),
    ],
)
def test_a_believed_moment_is_said_to_what_is_known_of_it(at, said):
    assert times.moment_range(at, NOW) == said


@pytest.mark.parametrize(
    ("at", "said"),
    [
        (TimeRange(local(16, 2, 12), local(16, 3), local(16, 5, 50)), "Sat 02:00 to 06:00"),
        (TimeRange(local(15, 22), local(16, 2), local(16, 5)), "Fri 22:00 to Sat 05:00"),
        (TimeRange(local(25, 2), local(25, 9), local(25, 15)), "Mon 25 Jan at 02:00 to 15:00"),
        (TimeRange(local(16, 2), local(16, 2), local(16, 2)), "Sat 02:00"),
        (TimeRange(None, None, None), "not known yet"),
        (TimeRange(local(16, 2), None, None), "not before Sat 02:00"),
    ],
)
def test_a_range_in_short_has_its_ends_only(at, said):
    assert times.short_range(at, NOW) == said


@given(MINUTES)
def test_a_believed_moment_says_its_likely_hour_where_it_is_known_to_less_than_three_days(minutes):
    early, likely, late = map(ahead, minutes)
    said = times.moment_range(TimeRange(early, likely, late), NOW)
    half = to_half_hour(likely)
    if to_half_hour(late) - to_half_hour(early) < timedelta(days=3):
        assert re.match(rf"(?:most likely|about) {re.escape(times.moment(half, NOW))}(?: \(|$)", said)
        ends = re.search(r"\(.*?(\d\d:\d\d) to .*?(\d\d:\d\d)\)", said)
        shown = ends.groups() if ends else [times.clock(half)] * 2
        assert list(shown) == [times.clock(to_half_hour(early)), times.clock(to_half_hour(late))]
    else:
        assert said.startswith(f"most likely {times.day(half, NOW)} (")
        assert not re.search(r"\d\d:\d\d", said)


@given(MINUTES)
def test_what_is_said_of_a_moment_does_not_depend_on_the_zone_it_is_kept_in(minutes):
    kept = TimeRange(*map(ahead, minutes))
    utc = TimeRange(*(ahead(minute).astimezone(UTC) for minute in minutes))
    for say in (times.moment_range, times.short_range):
        summer = datetime(2027, 7, 15, 20, tzinfo=ZONE)
        assert say(utc, NOW) == say(kept, NOW)
        assert say(utc, summer) == say(kept, summer)


def test_an_hour_in_another_zone_is_said_in_the_stations_own():
    """Lisbon is an hour ahead of UTC in July (IANA time zone data)."""
    now = datetime(2027, 7, 15, 12, tzinfo=ZONE)
    began, ended = datetime(2027, 7, 15, 14, tzinfo=UTC), datetime(2027, 7, 15, 22, 30, tzinfo=UTC)
    assert times.short_range(TimeRange(began, began, ended), now) == "Thu 15:00 to 23:30"
    over = TimeRange(began, began, datetime(2027, 7, 15, 23, 30, tzinfo=UTC))
    assert times.short_range(over, now) == "Thu 15:00 to Fri 00:30"
