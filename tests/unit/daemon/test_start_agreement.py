"""A planned start is said the same by the command in words and JSON, by the page, and by its calendar."""

from datetime import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.cli.plan_start import as_told
from daemon.export.start_calendar import start_calendar
from daemon.planning.stated_warmth import StatedWarmth
from daemon.start_record import Wish, planned_start
from daemon.station import Station
from reports import times
from reports.page.starts import shown
from reports.starts.records import PlannedStart
from reports.starts.text import start_text
from tests.kit.calendar_file import events_of
from tests.kit.starts import NEVER_EMPTY, NOW, ROOM
from tests.kit.station import station

HOUR = 3600
CALLED_AWAY = station(away=["2027-03-08/2027-03-09"])
FAHRENHEIT = station(temperature_unit="F")


def utc(text: str) -> datetime:
    return datetime.fromisoformat(f"{text.rstrip('Z')}+00:00")


def agrees(plan: PlannedStart) -> None:
    text, told = start_text(plan), as_told(plan)
    best, facts = shown.best(plan)
    events = events_of(start_calendar(plan)) if plan.days else []
    two_cups = any(line.startswith("Better set two cups") for line in facts)
    assert two_cups == (told["hedge"] is not None and bool(plan.options))
    for line in (best, *facts, *shown.better(plan), *shown.others(plan), *shown.made_of(plan)):
        assert line in text
    assert [one["text"] for one in told["warnings"]] == shown.against(plan)
    assert all(line in text for line in shown.against(plan))
    assert len(told["options"]) == len(plan.options) == len(shown.others(plan)) + bool(best)
    assert len(events) == len(told["days"]) == len(shown.days(plan))
    for day, event, said in zip(told["days"], events, shown.days(plan), strict=True):
        began, ended = (datetime.fromisoformat(day[end]) for end in ("from", "to"))
        assert (utc(event["DTSTART"]), utc(event["DTEND"])) == (began, ended)
        assert day["text"] in event["DESCRIPTION"]
        assert "naupliad plan" not in event["DESCRIPTION"]
        assert f"{said.when}: {said.title}" in text
        assert event["SUMMARY"] == f"{plan.vessel}: {said.title}"
    for one in told["options"]:
        horizon = plan.options[0].t50.looked_until
        for part in ("t10", "t50", "t90"):
            late = [at for name, at in one[part].items() if name != "later_than" and at is None]
            assert bool(late) == ("later_than" in one[part])
        assert one["t50"]["p50"] is not None
        assert horizon > plan.options[0].set_at
    if told["days"]:
        first = told["options"][0]
        assert f"Set the cysts {times.on_moment(plan.options[0].set_at, plan.made_at)}" in text
        (hatch,) = [one for one in told["days"] if one["kind"] == "hatch"]
        for end, part in (("from", "p10"), ("to", "p90")):
            exact, rounded = (datetime.fromisoformat(at) for at in (first["t50"][part], hatch[end]))
            assert abs((exact - rounded).total_seconds()) <= 900
            assert times.clock(rounded) in facts[0]
    else:
        assert "Day by day" not in text
        assert any(
            one["kind"]
            in ("never", "stops", "late", "wide", "not-met", "none-swim", "cold-swim", "nobody-before")
            for one in told["warnings"]
        )


@settings(max_examples=40, deadline=None)
@given(
    st.floats(5.0, 36.0),
    st.none() | st.floats(0.0, 6.0),
    st.integers(2, 24 * 9),
    st.sampled_from((1, 2, 4, 8)),
    st.sampled_from((ROOM, NEVER_EMPTY, CALLED_AWAY, FAHRENHEIT)),
    st.booleans(),
)
def test_text_json_page_and_calendar_say_the_same(
    day_c: float, colder_k: float | None, ahead_h: int, half_hours: int, where: Station, swimming: bool
) -> None:
    lesson = NOW + ahead_h * HOUR, NOW + ahead_h * HOUR + half_hours * HOUR // 2
    stated = StatedWarmth(day_c, None if colder_k is None else day_c - colder_k)
    agrees(planned_start(where, Wish(lesson, where.vessels[0], None, stated, swimming=swimming), NOW))


@pytest.mark.parametrize("water_c", [9.5, 10.0, 10.5, 11.0, 12.0, 13.0])
def test_they_agree_where_the_hatch_is_late_or_never(water_c: float) -> None:
    lesson = NOW + 8 * 24 * HOUR, NOW + 9 * 24 * HOUR
    agrees(planned_start(ROOM, Wish(lesson, ROOM.vessels[0], None, StatedWarmth(water_c, water_c)), NOW))


def test_where_two_cups_meet_a_lesson_more_often_they_stand_with_the_best_time() -> None:
    lesson = NOW + 9 * 24 * HOUR, NOW + 9 * 24 * HOUR + 5 * HOUR
    plan = planned_start(ROOM, Wish(lesson, ROOM.vessels[0], None, StatedWarmth(22.0, 19.0)), NOW)
    agrees(plan)
    assert plan.hedge is not None
    _, facts = shown.best(plan)
    one, two = round(100 * plan.options[0].share_in_lesson), round(100 * plan.hedge.share_in_lesson)
    assert f"meets the lesson: {two} of 100, where one cup alone has {one} of 100." in facts[-1]
    said = start_text(plan)
    assert said.index("Better set two cups") < said.index("Other days:")
