"""When it is said: attended hours, quiet hours, and a budget nobody's patience is lost over."""

from dataclasses import replace
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.alarms.letter_timing import (
    ABSENCE_HOURS,
    DatedLetter,
    coming_letters,
    is_quiet,
    leave_due_at,
    left_again,
    morning_of_return,
    next_leave,
    next_morning,
    planned_due_at,
    planned_fits,
    said_in_vain,
    unplanned_due_at,
)
from daemon.config.hours_syntax import weekly
from daemon.hours import local_day, next_absence
from daemon.letter_kinds import UNPLANNED
from daemon.station import DailyHours, DaySpan, Station
from tests.kit.station import probe, station, vessel

STATION = station(probe("water"), vessel("tray", "water"), away=["2027-02-15/2027-02-19"])
LISBON = ZoneInfo("Europe/Lisbon")


def at(text: str) -> int:
    """A moment of January 2027 by weekday and clock: Thu 14, Fri 15, Sat 16, Sun 17, Mon 18."""
    day, clock = text.split()
    date = {"Thu": 14, "Fri": 15, "Sat": 16, "Sun": 17, "Mon": 18, "Tue": 19}[day]
    return int(datetime.fromisoformat(f"2027-01-{date}T{clock}").replace(tzinfo=LISBON).timestamp())


def due(kind: str, noticed: str, *told: tuple[str, str], not_before: int = 0) -> int:
    others = [DatedLetter(at(when), k) for k, when in told]
    return unplanned_due_at(STATION, kind, at(noticed), others, not_before)


def test_trouble_by_day_is_told_at_once() -> None:
    assert due("cold", "Fri 11:00") == at("Fri 11:00")


def test_trouble_in_the_quiet_hours_is_told_in_the_morning() -> None:
    assert due("cold", "Thu 23:40") == at("Fri 07:15")
    assert due("lamp", "Fri 20:10") == at("Sat 07:15")


def test_heat_that_is_not_urgent_keeps_the_quiet() -> None:
    assert due("hot", "Thu 23:40") == at("Fri 07:15")


def test_what_was_said_lately_goes_no_sooner_than_it_may_be_said_again() -> None:
    assert due("cold", "Fri 10:00", not_before=at("Sat 09:00")) == at("Sat 09:00")
    assert due("cold", "Fri 10:00", not_before=at("Fri 21:00")) == at("Sat 07:15")
    assert due("cold", "Fri 10:00", not_before=at("Fri 09:00")) == at("Fri 10:00")


def test_low_water_is_told_when_somebody_can_pour() -> None:
    assert due("water", "Fri 10:00") == at("Fri 10:00")
    assert due("water", "Sat 10:00") == at("Mon 07:15")
    assert due("water", "Thu 18:00") == at("Fri 07:15")


def test_a_station_that_is_always_attended_keeps_the_quiet_for_low_water_too() -> None:
    always = replace(STATION, attended=(), away=())
    assert unplanned_due_at(always, "water", at("Sat 23:00"), []) == at("Sun 07:15")
    assert unplanned_due_at(always, "water", at("Sat 11:00"), []) == at("Sat 11:00")


def test_a_second_kind_of_trouble_on_a_day_waits_for_the_next_morning() -> None:
    assert due("lamp", "Sat 18:30", ("cold", "Sat 08:30")) == at("Sun 07:15")


def test_where_no_hours_are_quiet_a_letter_in_the_small_hours_is_that_days() -> None:
    loud = replace(STATION, post=replace(STATION.post, quiet=None))
    others = [DatedLetter(at("Fri 00:37"), "cold")]
    assert unplanned_due_at(loud, "lamp", at("Fri 02:47"), others) == at("Sat 07:15")
    others.append(DatedLetter(at("Sat 09:00"), "swing"))
    assert unplanned_due_at(loud, "lamp", at("Fri 02:47"), others) == at("Sat 09:00")


def test_after_two_letters_over_a_weekend_the_third_waits_for_the_return() -> None:
    assert due("probe", "Sun 12:00", ("cold", "Sat 08:30"), ("lamp", "Sun 07:15")) == at("Mon 07:15")


def test_what_has_to_wait_goes_along_with_a_letter_that_waits_already() -> None:
    assert due("lamp", "Fri 23:00", ("cold", "Sat 07:15")) == at("Sat 07:15")
    assert due("hot", "Sat 12:00", ("cold", "Sat 08:30"), ("lamp", "Sun 07:15")) == at("Sun 07:15")


def test_what_only_somebody_in_the_room_can_mend_waits_for_them() -> None:
    for kind in ("probe", "outage", "swing", "storage", "clock"):
        assert due(kind, "Sat 10:00") == at("Mon 07:15")
    # Somebody may be sent, or may drive there: it is getting worse meanwhile.
    assert due("cold", "Sat 10:00") == at("Sat 10:00")


def test_what_waits_for_somebody_does_so_too_where_the_day_has_had_its_letter() -> None:
    assert due("water", "Fri 10:00", ("cold", "Fri 09:00")) == at("Mon 07:15")
    assert due("water", "Thu 10:00", ("cold", "Thu 09:00")) == at("Fri 07:15")
    holidays = replace(STATION, attended=(), away=(DaySpan(date(2027, 1, 16), date(2027, 1, 17)),))
    assert unplanned_due_at(holidays, "water", at("Fri 22:30"), []) == at("Mon 07:15")


def test_what_waits_for_somebody_goes_along_with_no_letter_to_an_empty_room() -> None:
    others = ("cold", "Fri 09:00"), ("cold", "Sat 07:15")
    assert due("swing", "Fri 10:00", *others) == at("Mon 07:15")
    assert due("lamp", "Fri 10:00", *others) == at("Sat 07:15")


def test_three_planned_letters_a_week_are_enough() -> None:
    week = [DatedLetter(at(when), kind) for kind, when in (("leave", "Fri 13:30"), ("return", "Mon 07:15"))]
    assert planned_fits(week, at("Tue 09:00"))
    assert not planned_fits([*week, DatedLetter(at("Mon 12:00"), "hatch")], at("Tue 09:00"))
    assert planned_fits([*week, DatedLetter(at("Mon 12:00"), "cold")], at("Tue 09:00"))


def test_letters_of_the_week_do_not_use_up_the_weekend() -> None:
    assert due("hot", "Sat 12:00", ("cold", "Thu 08:30"), ("lamp", "Fri 07:15")) == at("Sat 12:00")


def test_the_leave_letter_is_due_two_hours_before_a_weekend_and_not_before_a_night() -> None:
    assert leave_due_at(STATION, at("Thu 09:00")) == (at("Fri 13:30"), at("Fri 15:30"), at("Mon 08:00"))


def test_the_return_after_half_term_is_the_first_school_day() -> None:
    friday = int(datetime(2027, 2, 12, 16, 0, tzinfo=LISBON).timestamp())
    monday = int(datetime(2027, 2, 22, 7, 15, tzinfo=LISBON).timestamp())
    assert morning_of_return(STATION, friday) == monday


def test_a_planned_letter_keeps_the_quiet_too() -> None:
    assert planned_due_at(STATION, at("Thu 22:00")) == at("Fri 07:15")
    assert planned_due_at(STATION, at("Fri 09:00")) == at("Fri 09:00")


def test_the_same_trouble_is_told_again_only_after_somebody_was_there() -> None:
    assert said_in_vain(STATION, at("Sun 03:00"), at("Sat 07:15"))
    assert said_in_vain(STATION, at("Mon 03:00"), at("Sat 07:15"))
    assert not said_in_vain(STATION, at("Tue 03:00"), at("Sat 07:15"))


def test_a_letter_of_the_same_moment_or_still_to_come_tells_it_already() -> None:
    assert said_in_vain(STATION, at("Fri 10:00"), at("Fri 10:00"))
    assert said_in_vain(STATION, at("Fri 10:00"), at("Fri 11:00"))
    assert not said_in_vain(STATION, at("Fri 10:00"), at("Fri 09:59"))


def test_the_day_of_a_letter_is_the_local_one_and_letters_of_other_days_do_not_count() -> None:
    assert due("lamp", "Fri 11:00", ("cold", "Thu 23:59")) == at("Fri 11:00")
    assert due("lamp", "Fri 11:00", ("cold", "Fri 00:00")) == at("Sat 07:15")


def test_what_is_due_goes_along_with_a_letter_of_that_very_moment_at_either_end() -> None:
    assert due("lamp", "Sat 12:00", ("cold", "Sat 12:00")) == at("Sat 12:00")
    assert due("lamp", "Sat 12:00", ("cold", "Sat 11:59"), ("probe", "Sun 07:15")) == at("Sun 07:15")


def test_alarms_that_are_said_at_one_moment_are_one_letter_of_the_budget() -> None:
    together = [("probe", "Sat 08:30"), ("probe", "Sat 08:30"), ("cold", "Sat 08:30")]
    assert due("lamp", "Sun 12:00", *together) == at("Sun 12:00")


# Over an unattended stretch of a day or longer, two unplanned letters: from its beginning on, up to now.
def test_the_two_letters_of_a_weekend_are_those_since_it_began() -> None:
    kept = ("lamp", "Sat 08:30")
    assert due("hot", "Sun 12:00", ("cold", "Fri 15:30"), kept) == at("Mon 07:15")
    assert due("hot", "Sun 12:00", ("cold", "Fri 15:29"), kept) == at("Sun 12:00")
    assert due("hot", "Fri 15:30", ("cold", "Thu 11:00"), ("lamp", "Thu 12:00")) == at("Fri 15:30")


# A letter that goes at the same hour every week goes some seconds earlier or later: an hour is left for that.
def test_a_planned_letter_of_a_week_ago_less_an_hour_is_past() -> None:
    week = 7 * 86_400 - 3600
    planned = [DatedLetter(at("Fri 09:00") + 60 * n, "hatch") for n in range(3)]
    assert not planned_fits(planned, planned[0].at + week - 1)
    assert planned_fits(planned, planned[0].at + week)


def test_a_planned_letter_must_fit_into_the_weeks_that_end_after_it_too() -> None:
    week = 7 * 86_400 - 3600
    coming = [DatedLetter(at("Fri 09:00") + 60 * n, "leave") for n in range(3)]
    assert not planned_fits(coming, coming[2].at - week + 1)
    assert planned_fits(coming, coming[2].at - week)
    assert planned_fits(coming[1:], coming[2].at - 2 * week)


def test_the_letters_before_and_after_the_next_absences_are_coming_until_they_are_due() -> None:
    leave, back = DatedLetter(at("Fri 13:30"), "leave"), DatedLetter(at("Mon 07:15"), "return")
    next_week = [DatedLetter(letter.at + 7 * 86_400, letter.kind) for letter in (leave, back)]
    assert coming_letters(STATION, at("Fri 13:29")) == [leave, back, *next_week]
    assert coming_letters(STATION, at("Fri 13:30")) == [back, *next_week]
    assert coming_letters(STATION, at("Mon 07:14")) == [back, *next_week]
    assert coming_letters(STATION, at("Mon 07:15")) == next_week
    assert coming_letters(replace(STATION, attended=(), away=()), at("Fri 09:00")) == []


# A stretch worth a letter before it: a day or longer.
@pytest.mark.parametrize(("back", "leaves"), [("10:00-11:00", True), ("09:59-11:00", False)])
def test_a_day_without_anybody_is_worth_a_letter_before_it_and_less_is_not(back: str, leaves: bool) -> None:
    hours = ("Mon-Wed 10:00-11:00", "Thu 08:00-10:00", f"Fri {back}", "Sat-Sun 10:00-11:00")
    station = replace(STATION, attended=tuple(weekly(each) for each in hours), away=())
    assert (leave_due_at(station, at("Thu 09:00")) is not None) is leaves


def test_where_nobody_leaves_for_long_nothing_is_written_before_it() -> None:
    assert leave_due_at(replace(STATION, attended=(), away=()), at("Fri 09:00")) is None


def test_the_next_morning_is_a_later_one_than_now() -> None:
    assert next_morning(STATION, at("Fri 07:15")) == at("Sat 07:15")
    assert next_morning(STATION, at("Fri 07:15") - 1) == at("Fri 07:15")


def test_the_morning_of_a_return_is_that_of_the_very_day_and_no_earlier_than_now() -> None:
    assert morning_of_return(STATION, at("Mon 07:30")) == at("Mon 07:30")
    assert morning_of_return(STATION, at("Mon 09:00")) == at("Mon 09:00")
    nobody = replace(STATION, attended=(replace(STATION.attended[0], weekdays=frozenset()),))
    assert morning_of_return(nobody, at("Sat 10:00")) == at("Sat 10:00")


def with_post(**changes: object) -> Station:
    return replace(STATION, post=replace(STATION.post, **changes))


def test_where_people_come_before_the_morning_the_letter_goes_half_an_hour_before_them() -> None:
    late = with_post(morning_at=time(9, 0))
    assert morning_of_return(late, at("Sat 10:00")) == at("Mon 07:30")
    assert next_morning(late, at("Sat 10:00")) == at("Sun 09:00")
    assert next_morning(late, at("Sun 09:00")) == at("Mon 07:30")


def test_a_return_in_the_quiet_hours_or_at_midnight_is_told_in_the_morning_of_that_day() -> None:
    away = replace(STATION, attended=(), away=(DaySpan(date(2027, 1, 13), date(2027, 1, 15)),))
    assert morning_of_return(away, at("Thu 10:00")) == at("Sat 07:15")
    early = replace(STATION, attended=(weekly("Mon-Fri 06:30-15:30"),))
    assert morning_of_return(early, at("Sat 10:00")) == at("Mon 07:15")
    loud = replace(away, post=replace(away.post, quiet=None))
    assert morning_of_return(loud, at("Thu 10:00")) == at("Sat 07:15")


def test_a_morning_within_the_quiet_hours_is_their_end() -> None:
    asleep = with_post(quiet=DailyHours(time(20, 0), time(7, 40)))
    assert next_morning(asleep, at("Fri 23:00")) == at("Sat 07:40")


def test_the_letter_before_an_absence_that_begins_in_the_quiet_hours_goes_two_hours_before_those() -> None:
    away = replace(STATION, attended=(), away=(DaySpan(date(2027, 1, 16), date(2027, 1, 17)),))
    coming = next_leave(away, at("Fri 09:00"))
    assert coming is not None
    assert coming[0] == at("Fri 18:00")


def test_who_leaves_again_on_the_day_of_the_return_gets_one_letter_that_morning() -> None:
    clubs = replace(STATION, attended=(weekly("Mon,Thu,Sat 09:00-12:00"),), away=())
    coming = coming_letters(clubs, at("Fri 09:00"))
    assert coming[:2] == [DatedLetter(at("Sat 07:15"), "leave"), DatedLetter(at("Mon 07:15"), "leave")]
    assert leave_due_at(clubs, at("Sat 07:15")) == (at("Sat 07:15"), at("Sat 12:00"), at("Mon 09:00"))
    assert leave_due_at(clubs, at("Sat 07:14")) == (at("Thu 07:15"), at("Thu 12:00"), at("Sat 09:00"))


HOURS = st.sampled_from(
    [
        ["Mon-Fri 08:00-15:30"],
        ["Mon-Fri 06:30-15:30"],
        ["Mon,Wed,Fri 09:00-12:00"],
        ["Tue 09:00-10:00"],
        ["Mon-Sun 19:00-22:00"],
        ["Mon-Fri 08:00-15:30", "Sat 09:00-12:00"],
        [],
    ]
)
CLOCKS = st.sampled_from([time(6, 30), time(7, 15), time(8, 30), time(9, 30)])
QUIETS = st.sampled_from([None, DailyHours(time(20), time(7)), DailyHours(time(22), time(9))])
TROUBLES = st.lists(st.tuples(st.sampled_from(sorted(UNPLANNED)), st.integers(0, 20 * 1440)), max_size=25)


@given(hours=HOURS, morning_at=CLOCKS, hush=QUIETS, troubles=TROUBLES)
def test_whatever_happens_letters_keep_the_quiet_and_the_budget(
    hours: list[str], morning_at: time, hush: DailyHours | None, troubles: list[tuple[str, int]]
) -> None:
    post = replace(STATION.post, morning_at=morning_at, quiet=hush)
    room = replace(STATION, attended=tuple(map(weekly, hours)), away=(), post=post)
    letters: list[DatedLetter] = []
    for kind, minute in sorted(troubles, key=lambda one: one[1]):
        noticed = at("Thu 00:00") + 60 * minute
        due_at = unplanned_due_at(room, kind, noticed, letters)
        assert due_at >= noticed
        assert not is_quiet(room, due_at)
        letters.append(DatedLetter(due_at, kind))
    moments = sorted({letter.at for letter in letters})
    absences = {absence for then in moments if (absence := next_absence(room, then, ABSENCE_HOURS))}
    for left, back in absences:
        mornings = {morning_of_return(room, back - 1), morning_of_return(room, left)}
        over_it = [then for then in moments if left <= then < back and then not in mornings]
        assert len(over_it) <= 2, "two over an absence, and one on the morning it ends"


@given(hours=HOURS, morning_at=CLOCKS, hush=QUIETS, minute=st.integers(0, 20 * 1440))
def test_a_return_letter_bears_the_date_of_the_return_and_a_leave_letter_comes_before_it(
    hours: list[str], morning_at: time, hush: DailyHours | None, minute: int
) -> None:
    post = replace(STATION.post, morning_at=morning_at, quiet=hush)
    room = replace(STATION, attended=tuple(map(weekly, hours)), away=(), post=post)
    now = at("Thu 00:00") + 60 * minute
    coming = next_leave(room, now)
    if coming is None:
        return
    due_at, leaves_at, returns_at = coming
    assert due_at < leaves_at
    assert not is_quiet(room, due_at) or is_quiet(room, leaves_at - 2 * 3600)
    told_at = morning_of_return(room, leaves_at)
    assert local_day(told_at, LISBON) == local_day(returns_at, LISBON)
    assert not is_quiet(room, told_at)
    (one,) = [letter for letter in coming_letters(room, leaves_at) if letter.at == told_at]
    assert one.kind == ("leave" if left_again(room, returns_at) else "return")


@given(hours=HOURS, minutes=st.lists(st.integers(0, 28 * 1440), max_size=12))
def test_no_week_has_more_than_three_planned_letters_where_what_does_not_fit_gives_way(
    hours: list[str], minutes: list[int]
) -> None:
    room = replace(STATION, attended=tuple(map(weekly, hours)), away=())
    start, letters = at("Thu 00:00"), []
    then = start
    while coming := [letter for letter in coming_letters(room, then) if letter.at < start + 42 * 86_400]:
        then = coming[0].at
        letters.append(coming[0])
    for minute in sorted(minutes):
        due_at = planned_due_at(room, start + 60 * minute)
        if planned_fits(letters, due_at):
            letters.append(DatedLetter(due_at, "hatch"))
    moments = sorted({letter.at for letter in letters})
    assert all(later - then > 7 * 86_400 - 3600 for then, later in zip(moments, moments[3:], strict=False))
