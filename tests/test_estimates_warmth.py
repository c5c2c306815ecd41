"""What is believed of the coldest water of the next 16 hours."""

import math
import random
from dataclasses import replace

import pytest

from daemon.estimates.stretch import Stretch
from daemon.estimates.warmth import WarmthBelief

MONDAY = 1_800_230_400  # 2027-01-18 00:00 UTC
HOUR = 3600


def stretch(hour: int, water_c: float, margin_c: float = 0.0) -> Stretch:
    at = MONDAY + hour * HOUR
    return Stretch(at, at + HOUR, water_c, water_c - margin_c, water_c + margin_c, None, None)


def daily(hour: int) -> float:
    """22 °C, 3 up in the afternoon and 3 down before dawn."""
    return 22.0 + 3.0 * math.sin((hour % 24 - 9) / 24 * 2 * math.pi)


def test_nothing_is_said_before_any_temperature() -> None:
    assert WarmthBelief().coldest_next_16h() is None


def test_with_less_than_a_day_known_it_is_the_water_now_less_a_prior_drop() -> None:
    belief = WarmthBelief()
    for hour in range(6):
        belief.feed_stretch(stretch(hour, 24.0))
    found = belief.coldest_next_16h()
    assert found is not None
    # Common practice, no source: classrooms lose 2 to 5 °C overnight.
    assert 17.0 <= found.p10 <= 19.0
    assert found.p50 == pytest.approx(22.0)
    assert found.p90 <= 24.0


def test_days_alike_are_foreseen_closely_in_the_end() -> None:
    belief = WarmthBelief()
    for hour in range(3 * 24 + 17):
        belief.feed_stretch(stretch(hour, daily(hour)))
    found = belief.coldest_next_16h()
    assert found is not None
    assert found.p50 == pytest.approx(19.0, abs=0.3)
    assert found.p90 - found.p10 < 2.5


def test_its_own_misses_widen_the_range() -> None:
    def width(unrest_c: float) -> float:
        rng, belief, off = random.Random(4), WarmthBelief(), 0.0
        for hour in range(10 * 24):
            off = rng.gauss(0.0, unrest_c) if hour % 24 == 0 else off
            belief.feed_stretch(stretch(hour, daily(hour) + off * (hour % 24 < 8)))
        found = belief.coldest_next_16h()
        assert found is not None
        return found.p90 - found.p10

    assert width(3.0) > 1.5 * width(0.0)


def test_the_first_night_of_a_weekend_may_be_much_colder_than_the_night_before() -> None:
    def low(day: int) -> float:
        belief = WarmthBelief()
        for hour in range((day - 2) * 24, day * 24 + 17):
            belief.feed_stretch(stretch(hour, daily(hour)))
        found = belief.coldest_next_16h()
        assert found is not None
        return found.p10

    assert low(4) <= low(3) - 1.5


def test_a_colder_day_than_yesterday_lowers_the_night() -> None:
    belief = WarmthBelief()
    for hour in range(24 + 24 + 17):
        belief.feed_stretch(stretch(hour, daily(hour) - (3.0 if hour >= 48 else 0.0)))
    found = belief.coldest_next_16h()
    assert found is not None
    assert found.p10 < 16.0 < found.p90  # the night before minus 3, if the cold stays
    assert found.p50 < 18.0


def test_it_never_claims_warmer_than_the_water_is_now_but_for_the_probes_own_error() -> None:
    belief = WarmthBelief()
    for hour in range(30):
        belief.feed_stretch(stretch(hour, 25.0 if hour < 29 else 15.0))
        found = belief.coldest_next_16h()
        assert found is not None
        assert found.p90 <= (25.0 if hour < 29 else 15.0) + 0.3 + 1e-9


def test_a_temperature_that_was_not_measured_widens_the_range() -> None:
    known, guessed = WarmthBelief(), WarmthBelief()
    known.feed_stretch(stretch(0, 22.0))
    guessed.feed_stretch(stretch(0, 22.0, 3.0))
    a, b = known.coldest_next_16h(), guessed.coldest_next_16h()
    assert a is not None
    assert b is not None
    assert b.p10 < a.p10
    assert b.p90 > a.p90


def test_a_lamp_that_is_lit_at_one_time_only_does_not_shift_a_night_that_followed_the_room() -> None:
    """Yesterday evening a lamp held the cup 5 K over the room, now it does not; the room is as it was."""
    with_room, without = WarmthBelief(), WarmthBelief()
    for hour in range(26):
        water_c = 22.0 if hour < 8 else 17.0
        for belief, room_c in ((with_room, 17.5), (without, None)):
            seen = stretch(hour, water_c)
            belief.feed_stretch(replace(seen, room_c=room_c))
    told, guessed = with_room.coldest_next_16h(), without.coldest_next_16h()
    assert told is not None
    assert guessed is not None
    assert told.p50 == pytest.approx(17.0)
    assert guessed.p50 == pytest.approx(17.0 - 0.5 * 5.0)
