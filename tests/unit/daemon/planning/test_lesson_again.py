"""A lesson that is over, once more on a day to come."""

from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from daemon.hours import is_attended, local_time
from daemon.planning.lesson_again import lesson_again
from tests.kit.starts import NEVER_EMPTY, ROOM, at
from tests.kit.station import station

DAY = 86_400
TUESDAY = at("2027-03-02T10:00"), at("2027-03-02T10:45")
SUNDAY = at("2027-02-28T16:10")
AWAY = station(away=["2027-03-08/2027-03-14", "2027-03-22/2027-03-28"])
EVER_AWAY = station(away=["2027-03-01/2028-02-28"])


def test_it_is_the_next_such_weekday_on_which_there_is_time_to_set_before() -> None:
    assert lesson_again(ROOM, TUESDAY, SUNDAY, at("2027-03-03T12:00")) == (
        at("2027-03-09T10:00"),
        at("2027-03-09T10:45"),
    )
    # Set two days before with a day for the water: a Sunday is too late for the Tuesday after.
    assert lesson_again(ROOM, TUESDAY, SUNDAY, at("2027-03-07T12:00")) == (
        at("2027-03-16T10:00"),
        at("2027-03-16T10:45"),
    )


def test_days_away_are_passed_over_and_the_local_hour_stays() -> None:
    found = lesson_again(AWAY, TUESDAY, SUNDAY, at("2027-03-17T12:00"))
    assert found is not None
    assert local_time(found[0], ROOM.timezone).isoformat() == "2027-03-30T10:00:00+01:00"  # summer time
    assert lesson_again(EVER_AWAY, TUESDAY, SUNDAY, at("2027-03-03T12:00")) is None


@given(
    st.integers(0, 200 * DAY),
    st.integers(0, 7 * 96),
    st.integers(0, 9 * DAY),
    st.sampled_from((ROOM, NEVER_EMPTY, AWAY, EVER_AWAY)),
)
def test_it_never_lies_in_the_past_nor_on_another_weekday_or_hour_nor_where_nobody_is(
    later_s: int, quarters: int, before_s: int, where: object
) -> None:
    assert isinstance(where, type(ROOM))
    lesson = (TUESDAY[0] + quarters * 900, TUESDAY[0] + quarters * 900 + 2700)
    now = lesson[1] + later_s
    found = lesson_again(where, lesson, lesson[0] - before_s, now)
    if found is None:
        return
    assert found[0] - before_s >= now
    assert found[1] - found[0] == 2700
    assert is_attended(where, found[0])
    old, new = (local_time(began, where.timezone) for began in (lesson[0], found[0]))
    assert (old.weekday(), old.time()) == (new.weekday(), new.time())
    assert new.date() - old.date() >= timedelta(days=7)
