"""The care sheet's words: who is there, what is ticked, what it means, and nothing that is not on it."""

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from reports.letters.feeding import FeedDue
from reports.page.paper.week import Week, WeekDay, WeekVessel, day_heads, legend, rows
from reports.records import Span
from tests.kit.report_samples import here

NOON = datetime(2027, 1, 15, 12, 0, tzinfo=ZoneInfo("Europe/Lisbon"))


def day(place: int, *hours: tuple[int, int], away: bool = False) -> WeekDay:
    at = NOON + timedelta(days=place)
    midnight = at.replace(hour=0)
    spans = tuple(Span(midnight + timedelta(hours=a), midnight + timedelta(hours=b)) for a, b in hours)
    return WeekDay(at, spans, away)


def week(*vessels: WeekVessel) -> Week:
    return Week(
        (day(0, (8, 15)), day(1), day(2, away=True), day(3, (0, 24)), day(4, (8, 12), (13, 15))), vessels
    )


def test_each_day_says_who_is_there() -> None:
    assert day_heads(here(), week()) == [
        ("Fri 15 Jan", "08:00 to 15:00"),
        ("Sat 16 Jan", "nobody there"),
        ("Sun 17 Jan", "away"),
        ("Mon 18 Jan", "all day"),
        ("Tue 19 Jan", "08:00 to 12:00, 13:00 to 15:00"),
    ]


def test_a_row_has_its_boxes_in_the_order_in_which_they_are_done() -> None:
    every = frozenset({"fill", "feed", "harvest", "swimmers", "look"})
    boxes = (every, None, None, frozenset[str](), frozenset({"look"}))
    fed = FeedDue("tray-a", 24, 500.0, seen=True)
    (row,) = rows(here(), week(WeekVessel("tray-a", 24, "growing", boxes, fed)))
    assert (row.name, row.stage, row.food) == ("tray-a (24 cups)", "growing", "Food: 2 pinches a cup")
    assert row.cells == (("Look", "Hatch?", "Harvest", "Feed", "Fill"), None, None, (), ("Look",))


@pytest.mark.parametrize("box", ["look", "swimmers", "harvest", "feed", "fill", "brine"])
def test_what_stands_on_the_sheet_is_explained_and_nothing_else(box: str) -> None:
    one = WeekVessel("tray-a", 24, "growing", (frozenset({box}),) * 5, None)
    explained = legend(here(), week(one))
    assert len(explained) == 2
    (row,) = rows(here(), week(one))
    assert explained[0].startswith(row.cells[0][0] if row.cells[0] else "?")


def test_the_sheet_speaks_the_station_s_language() -> None:
    assert day_heads(replace(here(), language="de"), week())[0][0].startswith("Fr")
