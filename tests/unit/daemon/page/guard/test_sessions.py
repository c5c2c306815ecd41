"""Sessions: who is in, until when, and that a cookie of an ended one is worth nothing."""

import json
import math
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.page.guard.sessions import (
    DEVICE_S,
    IDLE_S,
    LONGEST_S,
    MOST,
    Sessions,
    day_ends_at,
    form_token,
    sessions_of,
)
from daemon.seconds import HOUR_S
from tests.kit.station import station

NOW = 1_800_000_000.0
ENDS_AT = NOW + 6 * HOUR_S


def begun(sessions: Sessions, at: float = NOW) -> str:
    return sessions.begin("pin", now=at, ends_at=ENDS_AT)


def again(sessions: Sessions) -> Sessions:
    return sessions_of(json.loads(json.dumps(sessions.words())))


def test_who_signed_in_may_write_until_half_an_hour_without_use_and_read_until_the_end() -> None:
    sessions = Sessions()
    session = sessions.find("pin", begun(sessions))
    assert session is not None
    assert [session.may_write(NOW + s) for s in (0, IDLE_S - 1, IDLE_S)] == [True, True, False]
    assert [session.may_read(at) for at in (NOW + IDLE_S, ENDS_AT - 1, ENDS_AT)] == [True, True, False]
    session.active_at = ENDS_AT - 1
    assert not session.may_write(ENDS_AT)


def test_a_clock_that_is_put_far_back_ends_a_session_instead_of_prolonging_it() -> None:
    sessions = Sessions()
    session = sessions.find("pin", begun(sessions))
    assert session is not None
    assert session.may_write(NOW - 5)
    assert not session.may_read(NOW - HOUR_S)


def test_an_ended_session_is_worth_nothing_also_after_a_restart_and_others_go_on() -> None:
    sessions = Sessions()
    mine, anothers = begun(sessions), begun(sessions)
    sessions.end(mine)
    for held in (sessions, again(sessions)):
        assert held.find("pin", mine) is None
        assert held.find("pin", anothers) is not None


def test_another_pin_ends_every_session_and_forgets_every_device() -> None:
    sessions = Sessions()
    cookie, device = begun(sessions), sessions.remember("pin", None, now=NOW)
    assert sessions.find("another", cookie) is None
    assert sessions.find("pin", cookie) is None
    assert sessions.device("pin", device, now=NOW) is None


def test_a_device_is_known_by_its_cookie_alone_for_half_a_year() -> None:
    sessions = Sessions()
    cookie = sessions.remember("pin", None, now=NOW)
    assert again(sessions).device("pin", cookie, now=NOW + DEVICE_S - 1) is not None
    assert sessions.device("pin", cookie, now=NOW + DEVICE_S) is None
    assert sessions.device("pin", "made up", now=NOW) is None
    assert sessions.remember("pin", cookie, now=NOW + 5) == cookie
    assert sessions.remember("pin", "made up", now=NOW) != "made up"


def test_no_cookie_stands_in_what_is_kept() -> None:
    sessions = Sessions()
    cookies = [begun(sessions), sessions.remember("pin", None, now=NOW)]
    written = json.dumps(sessions.words())
    assert all(cookie not in written and form_token(cookie) not in written for cookie in cookies)


def test_the_oldest_make_room_for_more_than_there_are_places() -> None:
    sessions = Sessions()
    cookies = [begun(sessions, NOW + number) for number in range(MOST + 1)]
    devices = [sessions.remember("pin", None, now=NOW + number) for number in range(MOST + 1)]
    found = [sessions.find("pin", cookie) is not None for cookie in cookies]
    known = [sessions.device("pin", device, now=NOW) is not None for device in devices]
    assert found == known == [False] + [True] * MOST


@given(st.text(max_size=200))
def test_no_made_up_cookie_is_one(cookie: str) -> None:
    sessions = Sessions()
    begun(sessions)
    assert sessions.find("pin", cookie) is None
    assert sessions.find("pin", "\udcff" + cookie) is None


JSON = st.recursive(
    st.none() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
    max_leaves=8,
)
KEPT = st.fixed_dictionaries(
    {
        "pin": st.just("pin"),
        "sessions": st.dictionaries(st.text(max_size=3), st.lists(st.floats(), max_size=3), max_size=2)
        | JSON,
        "devices": st.dictionaries(st.text(max_size=3), st.floats(), max_size=2) | JSON,
    }
)


@given(JSON | KEPT)
def test_whatever_was_kept_one_can_sign_in_and_out(words: object) -> None:
    sessions = sessions_of(words)
    cookie, device = begun(sessions), sessions.remember("pin", None, now=NOW)
    assert sessions.find("pin", cookie) is not None
    assert sessions.device("pin", device, now=NOW) is not None
    json.dumps(sessions.words(), allow_nan=False)
    sessions.end(cookie)
    assert sessions.find("pin", cookie) is None


@pytest.mark.parametrize(
    "words",
    [
        None,
        [],
        {"pin": "pin", "sessions": {"a": [1]}, "devices": {}},
        {"pin": "pin", "sessions": {"a": [math.nan, 1]}, "devices": {}},
        {"pin": "pin", "sessions": {}, "devices": {"a": math.inf}},
        {"pin": "pin", "sessions": {}, "devices": []},
    ],
)
def test_what_cannot_be_made_out_signs_nobody_in(words: object) -> None:
    assert sessions_of(words) == Sessions()


@pytest.mark.parametrize(
    ("begins", "ends"),
    [
        ("2027-01-11T08:05", "2027-01-11T15:30"),  # Monday, school hours of the kit: 08:00 to 15:30
        ("2027-01-11T15:29", "2027-01-11T15:59"),  # whoever comes late has half an hour
        ("2027-01-11T16:00", "2027-01-12T00:00"),
        ("2027-01-09T00:00", "2027-01-09T12:00"),  # Saturday: never over 12 hours
        ("2027-01-09T23:50", "2027-01-10T00:20"),
    ],
)
def test_a_session_ends_with_the_school_day_or_at_midnight(begins: str, ends: str) -> None:
    at, told = (int(datetime.fromisoformat(f"{when}+00:00").timestamp()) for when in (begins, ends))
    assert datetime.fromtimestamp(day_ends_at(station(), at), UTC) == datetime.fromtimestamp(told, UTC)


def test_where_somebody_is_there_always_or_nothing_is_known_it_ends_after_twelve_hours() -> None:
    for room in (None, station(attended=()), station(attended=("Mon-Sun 00:00-24:00",))):
        assert day_ends_at(room, int(NOW)) == NOW + LONGEST_S
