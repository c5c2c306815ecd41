"""What readings tell of a thermostat."""

from hypothesis import given
from hypothesis import strategies as st

from daemon.estimates.warmth.thermostat import SPAN_S, TURN_K, Lowest, Seen, Turning

HOUR = 3600


def turns(readings: list[float]) -> int:
    turning, found = Turning(), 0
    for water_c in readings:
        after = turning.with_reading(water_c)
        found += after.falls != turning.falls
        turning = after
    return found


def test_a_saw_turns_at_each_of_its_teeth_however_often_it_is_read() -> None:
    coarse = [26.0, 26.5] * 6
    fine = [26.0 + 0.05 * k for up in range(6) for k in (*range(11), *range(9, 0, -1))]
    assert turns(coarse) == 10
    assert turns(fine) == 11


def test_a_night_that_cools_turns_once() -> None:
    day = [22.0 + 0.1 * k for k in range(30)]
    assert turns([*day, *reversed(day)]) == 1


@given(st.lists(st.floats(26.0, 26.0 + TURN_K), max_size=50))
def test_noise_does_not_turn(readings: list[float]) -> None:
    assert turns(readings) == 0


def test_a_half_hour_knows_its_lowest_and_its_turns() -> None:
    seen = Seen(7)
    for water_c, turned in ((26.0, False), (25.5, True), (26.0, True)):
        seen = seen.with_reading(water_c, turned=turned)
    assert seen == Seen(7, 25.5, 2)


@given(st.lists(st.floats(20.0, 30.0), min_size=40, max_size=100))
def test_the_lowest_is_of_the_last_day_and_of_nothing_older_than_two(lows: list[float]) -> None:
    found = Lowest(0, lows[0])
    for n, low_c in enumerate(lows):
        found = found.with_low(n * HOUR, low_c)
    day = SPAN_S // HOUR
    assert min(lows[-2 * day :]) <= found.lowest_c <= min(lows[-day:])
