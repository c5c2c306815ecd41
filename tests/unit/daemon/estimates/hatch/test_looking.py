"""Who may have looked before, hour by hour, by hand."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from daemon.estimates.hatch.looking import LOOKS_PER_H, Moment, nobody_looked, unseen
from daemon.estimates.local_hour import PlainCalendar

MONDAY = 1_799_625_600  # 2027-01-11 00:00 UTC
HOUR, DAY = 3600, 86_400


def hourly(began: int, hours: int) -> list[Moment]:
    return [(began + n * HOUR, (float(n),)) for n in range(hours + 1)]


# Looks come at a rate that is exponential over classes; whoever notes one looks at a rate drawn by its size.
@pytest.mark.parametrize("attended_h", [0.0, 1.0, 6.0, 20.0])
def test_the_chance_that_nobody_looked_is_that_of_classes_that_do_look(attended_h: float) -> None:
    by_size = stats.gamma(2.0, scale=LOOKS_PER_H)
    expected, _ = integrate.quad(
        lambda rate: by_size.pdf(rate) * float(stats.poisson(rate * attended_h).pmf(0)), 0.0, 20.0
    )
    assert nobody_looked(attended_h) == pytest.approx(expected, rel=1e-4)


def test_a_night_is_one_step_and_a_school_day_many() -> None:
    history = hourly(MONDAY + 14 * HOUR, 24)
    found = unseen(history[0], history, (), (history[-1][0], (24.0,)), PlainCalendar())
    # Two hours of the day before, the night, and six of the morning: the night's end is the first of them.
    assert found.doses[0] == (0.0,)
    assert (18.0,) in found.doses
    assert not any(3.0 < dose < 18.0 for (dose,) in found.doses)
    assert found.chances[-1] == pytest.approx(nobody_looked(0.5))
    night = found.chances[found.doses.index((18.0,)) - 1]
    assert night == pytest.approx(nobody_looked(6.0))


def test_where_nobody_comes_all_is_one_step_from_the_last_look() -> None:
    history = hourly(MONDAY + 5 * DAY, 24)
    found = unseen(history[2], history, (), (history[-1][0], (24.0,)), PlainCalendar())
    assert (found.doses, found.chances) == (((2.0,),), (1.0,))


def test_a_deed_at_the_vessel_is_half_a_look() -> None:
    history = hourly(MONDAY + 5 * DAY, 24)
    stood = ((MONDAY + 5 * DAY + 10 * HOUR + 600, (10.2,)),)
    found = unseen(history[0], history, stood, (history[-1][0], (24.0,)), PlainCalendar())
    assert found.doses == ((0.0,), (10.2,))
    assert found.chances == pytest.approx((0.5, 1.0))


def test_deeds_before_the_last_look_say_nothing_more() -> None:
    history = hourly(MONDAY + 5 * DAY, 24)
    stood = ((MONDAY + 5 * DAY + HOUR, (1.0,)),)
    found = unseen(history[2], history, stood, (history[-1][0], (24.0,)), PlainCalendar())
    assert found.chances == (1.0,)


@given(st.integers(0, 200), st.integers(0, 400), st.lists(st.integers(0, 600), max_size=5))
def test_steps_are_few_and_the_later_the_likelier_unseen(began: int, hours: int, deeds: list[int]) -> None:
    history = hourly(MONDAY + began * HOUR, hours)
    stood = tuple((MONDAY + began * HOUR + 1800 * n, (0.5 * n,)) for n in sorted(set(deeds)))
    now = (MONDAY + (began + hours) * HOUR + 600, (hours + 0.2,))
    found = unseen(history[0], history, stood, now, PlainCalendar())
    assert len(found.doses) == len(found.chances) <= 80
    assert all(a <= b for a, b in pairwise(found.chances))
    assert all(a <= b for a, b in pairwise(found.doses))
    assert found.doses[0] == (0.0,)
    assert 0.0 < found.chances[0] <= found.chances[-1] <= 1.0
