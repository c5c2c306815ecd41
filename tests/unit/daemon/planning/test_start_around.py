"""What stands around a planned start: what speaks against it, how it goes by the hour, the days."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.errors import InputError
from daemon.hours import is_attended, local_time
from daemon.planning.fortnight import PlannedDay, fortnight
from daemon.planning.planned_hatch import beyond
from daemon.planning.start import planned
from daemon.planning.start_picture import picture
from daemon.planning.start_warnings import PlanWarning, warnings
from daemon.planning.start_ways import other_ways, swimmers, swimming_plan
from daemon.planning.visits import water_visit, with_hours
from daemon.planning.wanted import lesson_of, moment_of
from daemon.station import Station
from tests.kit.starts import MONDAY, NOW, ROOM, WEDNESDAY, at, ground
from tests.kit.station import station

HOUR = 3600
THURSDAY = tuple(moment + 24 * HOUR for moment in WEDNESDAY)


def warned(
    lesson: tuple[int, int] = WEDNESDAY,
    where: Station = ROOM,
    now: int = NOW,
    *,
    day_c: float = 22.0,
    night_c: float = 19.0,
) -> dict[str, PlanWarning]:
    made_from = ground(day_c, night_c, lesson, now, where)
    found = warnings(where, planned(where, lesson, now, made_from), made_from, now)
    return {one.kind: one for one in found}


def test_a_short_lesson_is_said_to_be_missed_mostly_and_nothing_else() -> None:
    assert set(warned()) == {"low"}


def test_a_friday_start_hatches_in_the_weekend_and_hardly_meets_the_monday() -> None:
    found = warned(MONDAY)
    assert {"weekend", "hardly-met"} <= set(found)
    weekend = found["weekend"]
    assert weekend.span == (at("2027-03-05T15:30"), at("2027-03-08T08:00"))
    assert weekend.share is not None
    assert weekend.share > 0.8


def test_a_hatch_in_holidays_is_said_to_be_in_holidays() -> None:
    where = station(away=["2027-03-08/2027-03-09"])
    assert "not-met" in warned(where=where)
    assert "away" in warned(where=where, day_c=16.5, night_c=15.0)
    assert {"away-lesson"} <= set(warned(where=station(away=["2027-03-10/2027-03-12"])))


def test_a_lesson_when_nobody_is_there_is_said_to_be_one() -> None:
    assert "unattended-lesson" in warned((at("2027-03-10T18:00"), at("2027-03-10T19:00")))


def test_nobody_there_before_the_lesson_is_said() -> None:
    assert "nobody-before" in warned(
        MONDAY, now=at("2027-03-07T12:00"), where=station(attended=["Tue 08:00-15:30"])
    )


@pytest.mark.parametrize(
    ("day_c", "night_c", "kind"),
    [(8.0, 7.0, "never"), (14.0, 11.0, "cold"), (30.0, 29.0, "hot"), (35.0, 34.0, "stops")],
)
def test_water_too_cold_or_too_hot_is_said(day_c: float, night_c: float, kind: str) -> None:
    # 9.07 °C (Yanchi Lake), 15 °C: no times at hand below; 27 °C: sources part above; 33 °C: FAO 428.
    found = warned(day_c=day_c, night_c=night_c)
    assert kind in found
    assert found[kind].water_c is not None
    assert set(found) == {"never"} if kind == "never" else "never" not in found


def test_water_at_which_the_sources_agree_is_not_spoken_of() -> None:
    assert not {"never", "cold", "hot", "stops"} & set(warned(day_c=25.0, night_c=22.0))


def test_the_picture_begins_with_nothing_ends_with_most_and_holds_the_lesson() -> None:
    made_from = ground()
    best = planned(ROOM, WEDNESDAY, NOW, made_from).options[0]
    found = picture(made_from, best, WEDNESDAY)
    assert found[0][0] <= WEDNESDAY[0]
    assert found[-1][0] >= WEDNESDAY[1]
    middles = [p50 for _, _, p50, _ in found]
    assert middles == sorted(middles)
    assert (middles[0] < 0.05, middles[-1] > 0.9) == (True, True)
    assert all(0.0 <= p10 <= p50 <= p90 <= 1.0 for _, p10, p50, p90 in found)


def test_hatching_is_under_way_in_a_lesson_at_least_as_often_as_half_falls_in_it() -> None:
    for one in planned(ROOM, WEDNESDAY, NOW, ground()).options:
        assert one.share_in_lesson <= one.under_way <= 1.0


def days(lesson: tuple[int, int] = WEDNESDAY, where: Station = ROOM, now: int = NOW) -> list[PlannedDay]:
    made_from = ground(lesson=lesson, where=where, now=now)
    best = planned(where, lesson, now, made_from).options[0]
    return fortnight(where, made_from, best, lesson, now)


def test_the_days_lead_from_buying_through_setting_hatch_and_feeding_to_wrap_up() -> None:
    found = days()
    kinds = [one.kind for one in found]
    assert kinds[:4] == ["buy", "water", "set", "light"]
    assert kinds[-1] == "wrap-up"
    assert {"hatch", "lesson", "first-feed", "feed", "fill"} <= set(kinds)
    assert [one.began for one in found] == sorted(one.began for one in found)
    assert all(one.began <= one.ended for one in found)


@pytest.mark.parametrize(
    ("set_at", "now", "stands_from"),
    [
        ("2027-03-09T10:00", "2027-03-01T09:00", "2027-03-08T09:00"),
        ("2027-03-09T08:00", "2027-03-01T09:00", "2027-03-08T08:00"),
        ("2027-03-08T08:00", "2027-03-01T09:00", "2027-03-05T15:00"),  # a Monday's: on Friday, before leaving
        ("2027-03-08T08:00", "2027-03-05T15:10", "2027-03-05T15:10"),
        ("2027-03-08T08:00", "2027-03-06T12:00", None),
        ("2027-03-09T15:01", "2027-03-09T15:01", None),
    ],
)
def test_tap_water_stands_a_day_and_where_it_cannot_no_time_is_named(
    set_at: str, now: str, stands_from: str | None
) -> None:
    found = water_visit(ROOM, at(now), at(set_at))
    assert (found and found[0]) == (stands_from and at(stands_from))


def test_water_that_would_stand_for_two_weeks_of_holidays_is_treated() -> None:
    away = station(away=["2027-03-22/2027-04-02"])
    assert water_visit(away, NOW, at("2027-04-05T08:00")) is None
    assert water_visit(station(away=["2027-03-26/2027-03-29"]), NOW, at("2027-03-30T08:00")) is not None


def test_what_is_to_be_done_is_to_be_done_while_somebody_is_there() -> None:
    where = station(away=["2027-03-15/2027-03-17"])
    for one in days(where=where):
        if one.kind not in ("hatch", "lesson"):
            assert is_attended(where, one.began), one


def test_the_first_feed_is_about_day_three_or_four_and_then_once_or_twice_a_week() -> None:
    """Common practice, no source; people there every day, and water at 25 °C, for which it stands."""
    where = station(attended=["Mon-Sun 00:00-24:00"])
    made_from = ground(25.0, 25.0, where=where)
    best = planned(where, WEDNESDAY, NOW, made_from).options[0]
    found = fortnight(where, made_from, best, WEDNESDAY, NOW)
    (first,) = [one.began for one in found if one.kind == "first-feed"]
    assert 3.0 <= (first - best.set_at) / (24 * HOUR) <= 4.0
    feeds = [first, *(one.began for one in found if one.kind == "feed")]
    assert all(3.0 <= (b - a) / (24 * HOUR) <= 7.0 for a, b in pairwise(feeds))


def test_the_vessels_are_filled_before_each_weekend() -> None:
    fills = [local_time(one.began, ROOM.timezone) for one in days() if one.kind == "fill"]
    assert fills
    assert all(moment.weekday() == 4 for moment in fills)


BERLIN = station(attended=["Mon-Fri 08:00-13:00"], away=["2026-12-23/2027-01-06"], zone="Europe/Berlin")


def before_holidays(lesson: tuple[int, int], *, swimming: bool = False) -> tuple[list[PlannedDay], set[str]]:
    """The days of a lesson near Christmas, by a school of Berlin, and what speaks against it."""
    now = at("2026-11-30T12:00", BERLIN)
    made_from = ground(21.0, 18.0, lesson, now, BERLIN)
    plans = swimming_plan if swimming else planned
    found = plans(BERLIN, lesson, now, made_from)
    kinds = {one.kind for one in warnings(BERLIN, found, made_from, now, swimming=swimming)}
    return fortnight(BERLIN, made_from, found.options[0], lesson, now), kinds


@pytest.mark.parametrize("swimming", [False, True])
def test_before_holidays_that_wrap_up_ends_somebody_fills_up_or_ends_the_batch(swimming: bool) -> None:
    lesson = at("2026-12-22T10:00", BERLIN), at("2026-12-22T10:45", BERLIN)
    found, kinds = before_holidays(lesson, swimming=swimming)
    assert found[-1].began == at("2027-01-07T08:00", BERLIN)
    (leaving,) = [
        one
        for one in found
        if one.began >= at("2026-12-22T00:00", BERLIN)
        and one.ended < lesson[1] + 4 * HOUR
        and one.kind in ("leave", "fill")
    ]
    assert (leaving.began, leaving.ended) == (
        at("2026-12-22T12:30", BERLIN),
        at("2026-12-22T13:00", BERLIN),
    )
    assert (leaving.kind == "leave") == ("unfed" in kinds)


def test_a_batch_that_is_fed_before_the_holidays_is_filled_up_and_not_to_be_ended() -> None:
    lesson = at("2026-12-16T10:00", BERLIN), at("2026-12-16T10:45", BERLIN)
    found, kinds = before_holidays(lesson)
    assert "unfed" not in kinds
    leaving = [one.began for one in found if one.kind == "fill"]
    assert at("2026-12-22T12:30", BERLIN) in leaving
    assert all(one.kind != "leave" for one in found)


def test_light_and_setting_end_when_people_leave_and_what_was_just_set_is_not_filled_up() -> None:
    friday = at("2027-03-05T15:00")
    made_from = ground()
    best = replace(planned(ROOM, WEDNESDAY, NOW, made_from).options[0], set_at=friday)
    found = fortnight(ROOM, made_from, best, WEDNESDAY, NOW)
    ends = {one.kind: one.ended for one in found if one.kind in ("set", "light")}
    assert ends == {"set": at("2027-03-05T15:30"), "light": at("2027-03-05T15:30")}
    assert [local_time(one.began, LISBON).day for one in found if one.kind == "fill"] == [12]


@settings(max_examples=30, deadline=None)
@given(st.floats(9.5, 30.0), st.integers(6, 24 * 8))
def test_nothing_is_fed_on_the_last_day_and_wrap_up_comes_after_the_hatch(
    water_c: float, ahead_h: int
) -> None:
    lesson = NOW + ahead_h * HOUR, NOW + (ahead_h + 6) * HOUR
    made_from = ground(water_c, water_c, lesson)
    for best in planned(ROOM, lesson, NOW, made_from).options[:1]:
        if beyond(best.set_at, best.t50.p90):
            continue
        found = fortnight(ROOM, made_from, best, lesson, NOW)
        (hatch,), (wrap_up,) = ([one for one in found if one.kind == kind] for kind in ("hatch", "wrap-up"))
        assert wrap_up.began >= hatch.ended
        assert all(one.began <= wrap_up.began - 24 * HOUR for one in found if one.kind.endswith("feed"))
        assert all(one.began >= best.t50.p50 for one in found if one.kind.endswith("feed"))
        assert found[-1] == max(found, key=lambda one: one.began)


def test_a_first_feed_that_falls_into_an_away_week_is_spoken_of() -> None:
    """Lesson on the Thursday before a week away: the first feed would be eleven days on."""
    thursday = at("2027-02-11T10:00"), at("2027-02-11T11:30")
    now = at("2027-02-01T09:00")
    found = warned(thursday, station(away=["2027-02-15/2027-02-19"]), now)
    span = found["unfed"].span
    assert span is not None
    assert span[1] == at("2027-02-22T08:00")
    assert span[0] < at("2027-02-16T00:00")
    assert "unfed" not in warned(thursday, now=now)


def test_without_attended_hours_people_come_while_they_are_awake() -> None:
    where = with_hours(station(attended=[], away=["2027-03-15/2027-03-17"]))
    for one in days(where=where):
        if one.kind not in ("hatch", "lesson"):
            assert 7 <= local_time(one.began, LISBON).hour < 21
            assert not 15 <= local_time(one.began, LISBON).day <= 17
    assert with_hours(ROOM) is ROOM


def test_where_a_monday_is_not_met_the_ways_out_are_named() -> None:
    made_from = ground(lesson=MONDAY)
    found = planned(ROOM, MONDAY, NOW, made_from)
    hour, other = other_ways(ROOM, found, made_from, NOW)
    assert hour.lesson == MONDAY
    assert local_time(hour.set_at, LISBON).weekday() == 6
    assert 7 <= local_time(hour.set_at, LISBON).hour < 21
    assert hour.share_in_lesson == pytest.approx(made_from.hatch.chance_within(MONDAY, hour.set_at))
    days_on = (other.lesson[0] - MONDAY[0]) / (24 * HOUR)
    assert days_on in (1.0, 2.0, 3.0, 4.0)
    assert is_attended(ROOM, other.set_at)
    assert other.share_in_lesson >= 0.05 + (found.options[0].share_in_lesson if found.options else 0.0)
    swim = swimmers(ROOM, found, made_from, NOW)
    assert swim is not None
    assert local_time(swim.set_at, LISBON).weekday() == 4
    assert swim.hatched.p10 >= 0.5
    assert swim.set_at < swim.half_at < MONDAY[0]


@pytest.mark.parametrize(
    ("day", "now"), [("2027-03-02", "2027-03-01T15:00"), ("2027-03-08", "2027-03-01T09:00")]
)
def test_a_lesson_of_45_minutes_has_ways_out_by_what_is_to_be_seen_in_it(day: str, now: str) -> None:
    """Tomorrow's, for which nothing hatches in time, and a Monday's."""
    lesson = at(f"{day}T10:00"), at(f"{day}T10:45")
    made_from = ground(21.0, 18.0, lesson, at(now))
    found = planned(ROOM, lesson, at(now), made_from)
    under_way = found.options[0].under_way if found.options else 0.0
    others = [one for one in other_ways(ROOM, found, made_from, at(now)) if one.lesson != lesson]
    assert others
    for one in others:
        assert one.under_way >= under_way + 0.15
        assert one.under_way == pytest.approx(made_from.hatch.under_way(one.lesson, one.set_at))
        assert one.share_in_lesson < 0.05
        assert is_attended(ROOM, one.set_at)


def test_for_a_lesson_on_a_day_away_only_another_lesson_is_named_in_the_next_week_too() -> None:
    where, lesson = station(away=["2027-03-08/2027-03-12"]), (at("2027-03-09T10:00"), at("2027-03-09T10:45"))
    made_from = ground(21.0, 18.0, lesson, where=where)
    found = planned(where, lesson, NOW, made_from)
    (way,) = other_ways(where, found, made_from, NOW)
    assert at("2027-03-15T00:00") < way.set_at < way.lesson[0] < at("2027-03-20T00:00")
    assert swimmers(where, found, made_from, NOW) is None


def test_so_that_animals_swim_it_is_set_so_early_that_half_have_surely_hatched() -> None:
    """In water of 16 °C a Friday afternoon's setting would not be sure for the Monday."""
    made_from = ground(16.0, 16.0, MONDAY)
    found = planned(ROOM, MONDAY, NOW, made_from)
    found = replace(found, options=())  # as where nobody could be there to meet it
    swim = swimmers(ROOM, found, made_from, NOW)
    assert swim is not None
    assert made_from.hatch.chance_by(0.5, swim.set_at, MONDAY[0]) >= 0.9
    assert swim.set_at < at("2027-03-05T12:00")


def test_a_plan_for_swimmers_is_the_way_out_with_days_and_no_word_of_a_lesson_missed() -> None:
    made_from = ground(lesson=MONDAY)
    way_out = swimmers(ROOM, planned(ROOM, MONDAY, NOW, made_from), made_from, NOW)
    found = swimming_plan(ROOM, MONDAY, NOW, made_from)
    assert way_out is not None
    (best,) = found.options
    assert (best.set_at, best.out, best.t50.p50) == (way_out.set_at, way_out.hatched, way_out.half_at)
    assert local_time(best.set_at, LISBON).hour == 13  # two hours of light before people leave at 15:30
    assert best.good_from <= best.set_at <= best.good_until
    kinds = {one.kind for one in warnings(ROOM, found, made_from, NOW, swimming=True)}
    assert kinds == {"weekend"}
    coming = fortnight(ROOM, made_from, best, MONDAY, NOW)
    assert [one.kind for one in coming if one.began <= MONDAY[0]][-5:] == [
        *("water", "set", "light", "hatch", "lesson")
    ]
    assert {"first-feed", "wrap-up"} <= {one.kind for one in coming}


def test_where_no_animals_can_swim_in_time_that_is_said() -> None:
    now = MONDAY[0] - 2 * HOUR
    made_from = ground(lesson=MONDAY, now=now)
    found = swimming_plan(ROOM, MONDAY, now, made_from)
    assert found.options == ()
    assert [one.kind for one in warnings(ROOM, found, made_from, now, swimming=True)] == ["none-swim"]
    cold = ground(8.0, 7.0, MONDAY)
    found = swimming_plan(ROOM, MONDAY, NOW, cold)
    assert [one.kind for one in warnings(ROOM, found, cold, NOW, swimming=True)] == ["never"]


def test_where_a_lesson_is_met_at_times_swimmers_alone_are_offered_until_it_is_mostly_met() -> None:
    made_from = ground()
    found = planned(ROOM, WEDNESDAY, NOW, made_from)
    assert other_ways(ROOM, found, made_from, NOW) == ()
    assert found.options[0].share_in_lesson < 0.5
    assert swimmers(ROOM, found, made_from, NOW) is not None  # it is more likely missed than met
    often = replace(found.options[0], share_in_lesson=0.5)
    assert swimmers(ROOM, replace(found, options=(often,)), made_from, NOW) is None


def test_a_plan_made_late_begins_now() -> None:
    now = at("2027-03-09T08:10")
    assert all(one.began >= now for one in days(now=now))


LISBON = ROOM.timezone


def test_a_lesson_is_read_by_the_stations_clock_or_with_an_offset() -> None:
    wanted = WEDNESDAY
    assert lesson_of("2027-03-10T10:00/2027-03-10T11:30", LISBON, NOW) == wanted
    assert lesson_of("2027-03-10T11:00:00+01:00/2027-03-10T11:30:00Z", LISBON, NOW) == wanted
    assert lesson_of("2027-03-10 10:45", LISBON, NOW) == (wanted[0] + 900, wanted[1] - 900)
    for text in ("2027-03-10T10:00/11:30", "10.03.2027 10:00/11:30", "10.3.2027, 10.00/11.30"):
        assert lesson_of(text, LISBON, NOW) == wanted
    assert lesson_of("10.03.2027 10:00/10.03.2027 11:30", LISBON, NOW) == wanted


def test_a_time_that_the_clocks_skip_is_refused_in_one_line() -> None:
    # Lisbon, 28 March 2027: from 00:59:59 to 02:00 [M].
    with pytest.raises(InputError) as refused:
        lesson_of("2027-03-28T01:30/2027-03-28T03:30", LISBON, NOW)
    (line,) = refused.value.faults
    assert line.startswith("--for: found '2027-03-28T01:30', which no clock of Europe/Lisbon shows")
    assert moment_of("2027-03-28T02:00", LISBON) == moment_of("2027-03-28T01:00:00Z", LISBON)
    assert moment_of("2027-10-31T01:30", LISBON)  # comes twice


@pytest.mark.parametrize(
    "text",
    [
        *(
            "",
            "tuesday",
            "2027-03-10",
            "2027-03-10T10:00/",
            "10.13.2027 10:00/11:30",
            "10.3.2027 10:00/25:00",
            "/2027-03-10T10:00",
            "2027-13-10T10:00",
        ),
        *("2027-03-10T25:00/2027-03-10T26:00", "2027-03-10T11:30/2027-03-10T10:00"),
        *("2027-03-10T10:00/2027-03-12T10:00", "2027-02-10T10:00/2027-02-10T11:00"),
        *("2027-03-01T08:30/2027-03-01T09:30", "2029-03-10T10:00", "0001-01-01T00:00", "9999-12-31T23:59"),
        *("2027-03-10T10:00:00.5", "٢٠٢٧-03-10T10:00", "2027-03-10T10:00/2027-03-10T11:00/x"),
    ],
)
def test_what_is_no_lesson_ahead_is_refused_in_one_line(text: str) -> None:
    with pytest.raises(InputError) as refused:
        lesson_of(text, LISBON, NOW)
    (line,) = refused.value.faults
    assert line.startswith("--for: found ")
    assert "allowed: " in line
