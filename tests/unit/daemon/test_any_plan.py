"""Whatever station, hour and wish: no plan asks for what is past, unattended, twice or out of order."""

from collections import Counter
from contextlib import closing
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.export.calendar import entries
from daemon.hours import is_attended, local_day
from daemon.kept_starts import kept_plans
from daemon.letters.conversions import setting
from daemon.letters.night_record import night_record
from daemon.planning.stated_warmth import StatedWarmth
from daemon.planning.visits import with_hours
from daemon.requests.start_desk import answer
from daemon.start_record import Wish, keep_request, planned_start
from daemon.station import Station
from daemon.store.file import WritingStore
from reports.page.tasks import tasks
from reports.starts.records import Day, PlannedStart
from tests.kit.starts import at
from tests.kit.station import SCHOOL_HOURS, station

HOUR, DAY = 3600, 86_400
NOW = at("2027-03-22T06:00")  # a Monday; in Europe the clocks go forward on Sunday the 28th
ATTENDED: tuple[list[str], ...] = (
    [*SCHOOL_HOURS],
    [],
    ["Tue 10:00-10:30", "Thu 13:15-15:00"],
    ["Mon-Sun 00:00-24:00"],
    ["Mon-Fri 18:00-02:30"],
    ["Sun 01:00-03:00", "Mon-Thu 08:00-09:00", "Mon-Thu 14:00-15:00"],
)
AWAY: tuple[list[str], ...] = (
    [],
    ["2027-03-26/2027-04-04"],
    ["2027-03-24"],
    ["2027-03-22/2027-03-23", "2027-03-30"],
)
ZONES = ("Europe/Lisbon", "Europe/Berlin", "Asia/Kathmandu", "America/New_York", "Australia/Lord_Howe")
# What is done by hand, each after what it needs: what follows a kind may not come before it.
AFTER = {
    "buy": (),
    "water": (),
    "treat": ("buy",),
    "set": ("water", "treat"),
    "light": ("set",),
    "hatch": ("set",),
    "first-feed": ("set", "light"),
    "feed": ("first-feed",),
    "fill": ("set",),
    "leave": ("set",),
    "wrap-up": ("set", "hatch", "lesson", "first-feed", "feed", "fill", "leave"),
}

stations = st.builds(
    lambda attended, away, zone: station(attended=attended, away=away, zone=zone),
    st.sampled_from(ATTENDED),
    st.sampled_from(AWAY),
    st.sampled_from(ZONES),
)


def moments_are_ahead_and_attended(plan: PlannedStart, where: Station, now: int) -> None:
    peopled = with_hours(where)
    offered = [one.set_at for one in plan.options]
    offered += [end for one in plan.options for end in (one.good.began, one.good.ended)]
    offered += [] if plan.hedge is None else [plan.hedge.first, plan.hedge.second]
    offered += [] if plan.swimmers is None else [plan.swimmers.set_at]
    offered += [one.set_at for one in plan.other_ways if one.lesson != plan.lesson]
    for moment in offered:
        assert moment.timestamp() >= now
        assert is_attended(peopled, int(moment.timestamp()))
    assert all(one.set_at.timestamp() >= now for one in plan.other_ways)
    assert all(one.set_at < plan.lesson.began for one in plan.options)


def days_are_in_order(plan: PlannedStart, now: int) -> None:
    found: dict[str, list[Day]] = {}
    for one in plan.days:
        found.setdefault(one.kind, []).append(one)
        assert one.span.began.timestamp() >= now
        assert one.span.began <= one.span.ended
    assert [one.span.began for one in plan.days] == sorted(one.span.began for one in plan.days)
    twice = Counter((one.kind, one.span.began.date()) for one in plan.days)
    assert set(twice.values()) <= {1}
    for kind, causes in AFTER.items():
        for cause in causes:
            for early in found.get(cause, ()):
                assert all(early.span.began <= late.span.began for late in found.get(kind, ())), (kind, cause)
    if plan.days:
        (setting,) = found["set"]
        assert setting.span.began == plan.options[0].set_at
        kinds = [one.kind for one in plan.days]
        (water,) = [kind for kind in kinds if kind in ("water", "treat")]
        at_first = [kinds.index(kind) for kind in ("buy", water, "set", "light")]
        assert at_first == sorted(at_first)
        stood = setting.span.began - found[water][0].span.began
        assert timedelta(hours=20) <= stood <= timedelta(days=6) if water == "water" else stood == timedelta()
        assert (water == "treat") == ("unstood" in {one.kind for one in plan.warnings})
        assert found["wrap-up"][0].span.began - setting.span.began >= timedelta(days=4)


@settings(max_examples=60, deadline=None)
@given(
    stations,
    st.integers(0, 14 * 24 * 60),
    st.integers(30, 20 * 24 * 60),
    st.sampled_from((45, 90, 330, 1440)),
    st.sampled_from(((22.0, 19.0), (26.0, None), (14.0, 11.0), (18.0, 12.0), (30.0, 29.0))),
    st.booleans(),
)
def test_nothing_is_asked_for_in_the_past_alone_twice_or_the_wrong_way_round(
    where: Station,
    later_min: int,
    ahead_min: int,
    length_min: int,
    water_c: tuple[float, float | None],
    swimming: bool,
) -> None:
    now = NOW + later_min * 60
    lesson = now + ahead_min * 60, now + (ahead_min + length_min) * 60
    wish = Wish(lesson, where.vessels[0], None, StatedWarmth(*water_c), swimming=swimming)
    plan = planned_start(where, wish, now)
    moments_are_ahead_and_attended(plan, where, now)
    days_are_in_order(plan, now)


@settings(max_examples=20, deadline=None)
@given(stations, st.integers(0, 7 * 24), st.integers(2, 6 * 24), st.booleans())
def test_what_is_kept_is_due_in_today_on_the_days_on_which_the_calendar_has_it(
    where: Station, later_h: int, ahead_h: int, swimming: bool
) -> None:
    now = NOW + later_h * HOUR
    lesson = now + ahead_h * HOUR, now + (ahead_h + 4) * HOUR
    wish = Wish(lesson, where.vessels[0], None, StatedWarmth(22.0, 19.0), swimming=swimming)
    plan = planned_start(where, wish, now)
    if not plan.options:
        return
    with TemporaryDirectory() as folder, closing(WritingStore(Path(folder), durable=False)) as store:
        with store.transaction() as connection:
            answer(where, connection, keep_request(plan), now)
        titles = {"Set the cysts": "set", "Let the water stand": "water"}
        entered = ((one.title.split(": ")[-1], one) for one in entries(where, store.connection, now))
        booked = {titles[title]: int(str(one.began)) for title, one in entered if title in titles}
        assert "set" in booked
        days = {one.kind: one.span for one in plan.days}
        if days:
            assert booked == {
                kind: int(days[kind].began.timestamp()) for kind in titles.values() if kind in days
            }
        moments = (now, *booked.values(), (now + booked["set"]) // 2)
        for at in sorted(set(moments)):
            told = tasks(
                setting(where, store.connection, at),
                night_record(where, store.connection, at),
                [],
                kept_plans(where, store.connection, at),
            )
            said = " ".join(one.what for one in told)
            today = local_day(at, where.timezone)
            on = {kind: local_day(began, where.timezone) for kind, began in booked.items()}
            assert ("Set the cysts at" in said) == (today == on["set"])
            assert ("Fill tap water" in said) == (today == on.get("water") != on["set"])
