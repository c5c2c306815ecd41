"""Tries at the PIN: nobody finds it, and nobody locks anybody out."""

import json
import math

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from daemon.page.guard.tries import WAITS_S, Tries, tries_of
from daemon.seconds import DAY_S, HOUR_S

NOW = 1_800_000_000.0
LONGEST_S = WAITS_S[-1]
AT_ONCE, A_DAY = 25, 960  # what tries.py says that strangers and newcomers have together


def admit(tries: Tries, visitor: str, at: float, *, known: bool = False) -> float:
    return tries.admit("pin", visitor, known=known, now=at)


def test_after_each_wrong_try_a_visitor_waits_longer_up_to_a_quarter_of_an_hour() -> None:
    tries, at, waited = Tries(), NOW, []
    for _ in range(8):
        assert admit(tries, "phone", at, known=True) == 0
        waited.append(admit(tries, "phone", at, known=True))
        at += waited[-1]
    assert waited == [5, 15, 45, 120, 300, 900, 900, 900]


def test_a_right_try_ends_the_waits_and_so_does_a_new_pin() -> None:
    tries = Tries()
    for visitor in ("phone", "tablet"):
        admit(tries, visitor, NOW)
    tries.was_right("phone")
    assert admit(tries, "phone", NOW) == 0
    assert admit(tries, "tablet", NOW) > 0
    assert tries.admit("another pin", "tablet", known=False, now=NOW) == 0


def test_with_a_new_pin_all_allowances_are_there_again() -> None:
    tries = hammered(200, 10)
    assert admit(tries, "new", NOW + 10) > 0
    came = [tries.admit("another pin", f"address {n}", known=False, now=NOW + 10) for n in range(AT_ONCE)]
    assert came == [0] * AT_ONCE


def test_whoever_knocks_too_early_waits_no_longer_for_it() -> None:
    tries = Tries()
    admit(tries, "phone", NOW)
    for second in range(5):
        assert admit(tries, "phone", NOW + second) == 5 - second
    assert admit(tries, "phone", NOW + 5) == 0


def test_with_all_addresses_of_the_world_six_digits_take_a_year_and_a_half_on_average() -> None:
    """The most eager there can be: a fresh address for every try, the moment there is one to be had."""
    tries, at, looked_at, number, most = Tries(), NOW, 0, 0, 0
    days = 5
    while at < NOW + days * DAY_S:
        number += 1
        wait_s = admit(tries, f"address {number}", at)
        looked_at += wait_s == 0
        at += wait_s
        most = max(most, len(tries.visitors))
    assert looked_at <= AT_ONCE + A_DAY * days
    assert looked_at > A_DAY * days * 0.99  # that is what it has, so the figures below are not too good
    assert 520 < 1e6 / 2 / A_DAY < 522
    assert 5 < 1e4 / 2 / A_DAY < 6
    assert most <= 1000


def hammered(pupils: int, seconds: int) -> Tries:
    tries = Tries()
    for second in range(seconds):
        for pupil in range(pupils):
            admit(tries, f"pupil {pupil}", NOW + second)
    return tries


@pytest.mark.parametrize("pupils", [1, 5, 10])
def test_beside_pupils_who_hammer_the_teacher_is_let_try_at_once_also_with_a_new_phone(pupils: int) -> None:
    for seconds in (30, 600, HOUR_S):
        for visitor, known in (("teacher's phone", True), ("teacher's new phone", False)):
            assert admit(hammered(pupils, seconds), visitor, NOW + seconds, known=known) == 0


def test_a_device_that_was_signed_in_has_its_own_waits_whatever_a_whole_school_does() -> None:
    tries = hammered(200, 300)
    assert admit(tries, "teacher's new phone", NOW + 300) > 0  # all that strangers have is spent
    assert admit(tries, "teacher's phone", NOW + 300, known=True) == 0
    assert admit(tries, "teacher's phone", NOW + 300, known=True) == WAITS_S[0]


def test_ten_thousand_visitors_leave_no_more_than_were_looked_at() -> None:
    tries = Tries()
    looked_at = sum(admit(tries, f"address {number}", NOW) == 0 for number in range(10_000))
    assert looked_at == AT_ONCE == len(tries.visitors)


@given(back_s=st.floats(1, 400 * DAY_S), tried=st.integers(1, 40))
def test_a_clock_that_is_put_back_makes_nobody_wait_longer_than_a_quarter_of_an_hour(
    back_s: float, tried: int
) -> None:
    tries, at = Tries(), NOW
    for number in range(tried):
        admit(tries, f"address {number % 7}", at)
        at += 20
    at -= back_s
    for visitor, known in (("address 0", False), ("new", False), ("phone", True)):
        wait_s = admit(tries, visitor, at, known=known)
        assert 0 <= wait_s <= max(LONGEST_S, 180)
        again = admit(tries, visitor, at + wait_s, known=known) if wait_s else 0.0
        assert again <= 180  # of the allowance: its own wait is over
        assert admit(tries, visitor, at + wait_s + again + LONGEST_S, known=known) == 0


@pytest.mark.parametrize(
    "words",
    [
        None,
        [],
        {},
        {"pin": "a", "visitors": {"x": 1}, "strangers": 0, "newcomers": 0},
        {"pin": "a", "visitors": {"x": [1, math.nan]}, "strangers": 0, "newcomers": 0},
        {"pin": "a", "visitors": {}, "strangers": math.inf, "newcomers": 0},
        {"pin": "a", "visitors": {}, "strangers": "soon", "newcomers": 0},
        {"pin": "a", "visitors": {"x": [10**400, 10**400]}, "strangers": 0, "newcomers": 0},
    ],
)
def test_what_cannot_be_made_out_is_no_count_at_all(words: object) -> None:
    assert tries_of(words) == Tries()


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
    max_leaves=8,
)
COUNT = st.tuples(st.integers() | st.floats(), st.floats(NOW - DAY_S, NOW + DAY_S)).map(list) | JSON
KEPT = st.fixed_dictionaries(
    {
        "pin": st.just("pin"),
        "visitors": st.dictionaries(st.sampled_from(["phone", "other"]), COUNT, max_size=2),
        "strangers": st.just(0.0) | st.floats() | JSON,
        "newcomers": st.just(0.0) | st.floats(),
    }
)


@given(JSON | KEPT)
def test_whatever_was_kept_people_can_try_within_a_quarter_of_an_hour(words: object) -> None:
    tries = tries_of(words)
    assert 0 <= admit(tries, "phone", NOW) <= LONGEST_S
    assert admit(tries, "phone", NOW + LONGEST_S + 1, known=True) == 0
    json.dumps(tries.words(), allow_nan=False)


class Trying(RuleBasedStateMachine):
    """Anybody tries at any time, the page is started anew at any time."""

    def __init__(self) -> None:
        super().__init__()
        self.tries = Tries()
        self.at = NOW
        self.looked_at: list[float] = []  # of strangers, since the PIN was set
        self.devices: dict[str, list[float]] = {}
        self.pin = "pin 0"

    @rule(address=st.integers(0, 40), times=st.integers(1, 30))
    def a_stranger_tries(self, address: int, times: int) -> None:
        for _ in range(times):
            before = self.tries.words()
            wait_s = self.tries.admit(self.pin, f"address {address}", known=False, now=self.at)
            assert 0 <= wait_s <= LONGEST_S
            if wait_s == 0:
                self.looked_at.append(self.at)
            else:
                after = self.tries.words()
                assert after["visitors"] == before["visitors"]

    @rule(device=st.integers(0, 3), right=st.booleans())
    def a_known_device_tries(self, device: int, right: bool) -> None:
        name = f"device {device}"
        wrong = self.devices.setdefault(name, [])
        wait_s = self.tries.admit(self.pin, name, known=True, now=self.at)
        # Nobody else counts: without a wrong try of its own it is let try.
        assert wrong or wait_s == 0
        assert wait_s <= (WAITS_S[min(len(wrong), len(WAITS_S)) - 1] if wrong else 0)
        if wait_s == 0:
            wrong.append(self.at)
            if right:
                self.tries.was_right(name)
                wrong.clear()

    @rule(seconds=st.one_of(st.floats(0, 30), st.floats(0, 2 * DAY_S)))
    def time_goes_by(self, seconds: float) -> None:
        self.at += seconds

    @rule()
    def the_page_starts_anew(self) -> None:
        self.tries = tries_of(json.loads(json.dumps(self.tries.words())))

    @rule()
    def a_pin_is_set(self) -> None:
        self.pin = f"pin {int(self.pin[4:]) + 1}"
        self.looked_at.clear()
        for wrong in self.devices.values():
            wrong.clear()

    @invariant()
    def strangers_have_what_they_have(self) -> None:
        for first in range(max(len(self.looked_at) - 60, 0), len(self.looked_at)):
            tried, span_s = len(self.looked_at) - first, self.looked_at[-1] - self.looked_at[first]
            assert tried <= AT_ONCE + 2 * span_s / 180 + 1e-6


TestTrying = Trying.TestCase
TestTrying.settings = hypothesis_settings(max_examples=60, stateful_step_count=40, deadline=None)
