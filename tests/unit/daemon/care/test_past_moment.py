"""When a deed was done, as people say it: the local time that is past, asked about around clock changes."""

import re
from datetime import time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.care.past_moment import AHEAD_S, past_moment
from daemon.errors import InputError
from daemon.hours import local_time
from daemon.input.csv import read_moment

LISBON = ZoneInfo("Europe/Lisbon")
# Clock changes of all kinds: an hour in spring and autumn, half an hour (Lord Howe), southern, none.
ZONES = [
    ZoneInfo(name)
    for name in (
        "Europe/Lisbon",
        "America/New_York",
        "Australia/Lord_Howe",
        "America/Santiago",
        "Asia/Kolkata",
        "Pacific/Chatham",
    )
]
FIRST, LAST = read_moment("2024-01-01T00:00:00Z"), read_moment("2031-01-01T00:00:00Z")
_LOOKS_LIKE_A_TIME = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2}[T ]|[A-Za-z]{2,9} )?[0-9]{1,2}:[0-9]{2}")
_OFFERED = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d")


def meant(text: str, now: str, zone: ZoneInfo = LISBON) -> str:
    at = past_moment("--at", text, read_moment(now), zone)
    return local_time(at, zone).strftime("%a %d %b %H:%M %z")


def refused(text: str, now: str) -> str:
    with pytest.raises(InputError) as refusal:
        meant(text, now)
    (line,) = refusal.value.faults
    return line


def ways(text: str, now: int, zone: ZoneInfo) -> list[str]:
    """What may be meant: the moment as it was taken, or each way that is offered by the question back."""
    try:
        return [local_time(past_moment("--at", text, now, zone), zone).isoformat()]
    except InputError as asked:
        return _OFFERED.findall(str(asked))


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("08:30", "Sat 28 Nov 08:30 +0000"),
        ("8:30", "Sat 28 Nov 08:30 +0000"),
        ("10:04", "Sat 28 Nov 10:04 +0000"),  # within what a watch may differ
        ("10:06", "Fri 27 Nov 10:06 +0000"),
        ("18:00", "Fri 27 Nov 18:00 +0000"),
        ("yesterday 18:00", "Fri 27 Nov 18:00 +0000"),
        ("gestern 18:00", "Fri 27 Nov 18:00 +0000"),
        ("today 08:30", "Sat 28 Nov 08:30 +0000"),
        ("Sat 09:00", "Sat 28 Nov 09:00 +0000"),
        ("Sat 18:00", "Sat 21 Nov 18:00 +0000"),
        ("sunday 18:00", "Sun 22 Nov 18:00 +0000"),
        ("Mi. 07:15", "Wed 25 Nov 07:15 +0000"),
        ("2026-11-28 08:30", "Sat 28 Nov 08:30 +0000"),
        ("2026-10-01T08:30", "Thu 01 Oct 08:30 +0100"),
        ("2026-11-28T08:30:00+01:00", "Sat 28 Nov 07:30 +0000"),
        ("2026-11-28 08:30:00Z", "Sat 28 Nov 08:30 +0000"),
    ],
)
def test_a_local_time_is_the_latest_that_is_past(text: str, found: str) -> None:
    assert meant(text, "2026-11-28T10:00:00Z") == found  # a Saturday


@pytest.mark.parametrize(
    ("text", "how_far"),
    [
        ("2026-11-28 18:00", "8 hours"),
        ("today 18:00", "8 hours"),
        ("2026-11-28T10:20:00Z", "20 minutes"),
        ("2027-11-28 10:00", "365 days"),
    ],
)
def test_what_lies_ahead_is_refused_with_how_far(text: str, how_far: str) -> None:
    assert refused(text, "2026-11-28T10:00:00Z") == (
        f"--at: found '{text}', {how_far} ahead; allowed: now or earlier"
    )


@pytest.mark.parametrize(
    "text",
    [
        *("", "noon", "25:00", "8", "08:60", "Xyz 08:00", "2026-13-01 08:00", "2026-02-30 08:00", "s 08:00"),
        *("1960-01-01 08:00", "9999-12-31 23:59", "2026-11-28", "08:30 yesterday"),
    ],
)
def test_what_is_no_time_is_refused_in_one_line_with_the_ways_to_say_it(text: str) -> None:
    line = refused(text, "2026-11-28T10:00:00Z")
    assert line.startswith(f"--at: found {text!r}; allowed: 08:30, 'Sat 18:00', ")


def test_an_hour_that_comes_twice_is_asked_about_with_both_offsets() -> None:
    assert refused("01:30", "2026-10-25T10:00:00Z") == (
        "--at: found '01:30', which the clocks showed twice; allowed: 2026-10-25T01:30:00+01:00 (the first) "
        "or 2026-10-25T01:30:00+00:00 (the second)"
    )
    # While the second is still to come, only the first can be meant.
    assert meant("01:30", "2026-10-25T00:50:00Z") == "Sun 25 Oct 01:30 +0100"


def test_an_hour_that_the_clocks_skip_is_asked_about_with_both_offsets() -> None:
    assert refused("Sun 01:30", "2026-03-30T10:00:00Z") == (
        "--at: found 'Sun 01:30', which the clocks skipped; allowed: 2026-03-29T01:30:00+01:00 (they showed "
        "00:30) or 2026-03-29T01:30:00+00:00 (02:30)"
    )
    # Also within the hour after it, though only one of the two is past.
    assert "which the clocks skipped" in refused("01:30", "2026-03-29T01:10:00Z")


@given(st.integers(FIRST, LAST), st.integers(0, 20 * 86_400), st.sampled_from(ZONES))
def test_every_past_minute_can_be_said_by_date_or_is_asked_about_with_it_among_the_ways(
    now: int, ago_s: int, zone: ZoneInfo
) -> None:
    at = (now - ago_s) // 60 * 60
    text = local_time(at, zone).strftime("%Y-%m-%d %H:%M")
    assert at in [read_moment(way) for way in ways(text, now, zone)]


@given(st.integers(FIRST, LAST), st.times(), st.sampled_from(ZONES), st.sampled_from(["", "Sat ", "di "]))
def test_a_time_of_day_means_the_last_past_moment_that_shows_it(
    now: int, clock: time, zone: ZoneInfo, day: str
) -> None:
    said = clock.strftime("%H:%M")
    meant_s = [read_moment(way) for way in ways(f"{day}{said}", now, zone)]
    if len(meant_s) == 2:  # asked about: each way that is offered and past is taken
        for way in ways(f"{day}{said}", now, zone):
            assert read_moment(way) > now or past_moment("--at", way, now, zone) == read_moment(way)
        return
    (at,) = meant_s
    assert now + AHEAD_S - (8 if day else 2) * 86_400 < at <= now + AHEAD_S
    assert local_time(at, zone).strftime("%H:%M") == said
    assert not day or local_time(at, zone).weekday() == {"Sat ": 5, "di ": 1}[day]
    whole_day = 7 * 86_400 if day else 86_400
    assert at + whole_day > now + AHEAD_S - 3600  # an hour for a change of the clocks between


@given(st.one_of(st.text(max_size=25), st.from_regex(_LOOKS_LIKE_A_TIME, fullmatch=True)))
def test_whatever_is_typed_is_a_moment_or_one_line(text: str) -> None:
    try:
        at = past_moment("--at", text, FIRST, LISBON)
    except InputError as refusal:
        (line,) = refusal.faults
        assert "\n" not in line
    else:
        assert 0 <= at <= FIRST + AHEAD_S
