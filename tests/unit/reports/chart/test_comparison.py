"""Three vessels and more: the worst first, what is alike once, and never more rows than can be read."""

import pytest

from reports.chart.alt_text import alt_text
from reports.chart.finding import to_low_mark_ml, worst_first
from reports.chart.grouping import MOST_ROWS, alike_lit, groups_of
from reports.records import Event, RoomAir, Span
from tests.kit.drawn_words import drawn_words
from tests.kit.report_samples import at_hour, band, loss_ml, lux, night, series, vessel


def steady(name, constant_c, **changed):
    """A vessel whose water stands at one temperature."""
    return vessel(name, 1, **{"water_c": series(lambda _: constant_c)} | changed)


def names(vessels):
    return [one.vessel for one in vessels]


def said(record):
    return [drawn.text.replace("\u00a0", " ") for drawn in drawn_words(record)]


LOW = {"loss_ml": band(lambda h: 44 + loss_ml(h), lambda _: 4.0), "fill_ml": 52.0}


def test_the_worst_comes_first_an_open_alarm_before_all():
    alarmed = steady("alarmed", 24.0, open_alarms=(Event(at_hour(3), "water", "the water is low"),))
    vessels = (steady("well", 24.0), steady("cold", 15.0), steady("dry", 24.0, **LOW), alarmed)
    assert names(worst_first(night(*vessels))) == ["alarmed", "cold", "dry", "well"]


def test_three_vessels_have_a_row_each_with_finding_hatch_and_what_to_pour():
    words = said(night(steady("a", 10.8), steady("b", 24.0), steady("c", 24.0, **LOW)))
    assert [word for word in words if word in "abc"] == ["a", "c", "b"]
    assert "24 h too cold, coldest 10.8 °C" in words
    assert "24.0 to 24.0 °C" in words
    assert words.count("83 to 100") == 3
    assert {"32", "−12", "pour 52"} <= set(words)


def test_lamp_and_light_are_drawn_once_where_they_are_alike():
    gap = tuple(point for point in vessel().light if not at_hour(2) <= point.at < at_hour(4))
    dark = series(lambda _: 3.0)
    alike = night(steady("a", 24.0, light=gap), steady("b", 24.0), steady("c", 24.0))
    assert said(alike).count("Lamp") == 1
    assert [names(group) for group in alike_lit(alike.vessels)] == [["b", "c", "a"]]
    other = night(*alike.vessels, steady("d", 24.0, light=dark))
    assert [names(group) for group in alike_lit(other.vessels)] == [["b", "c", "a"], ["d"]]
    brighter = steady("e", 24.0, light=series(lambda h: lux(h) * 1.2))
    assert len(alike_lit((*alike.vessels, brighter))) == 1


def test_the_rooms_air_is_drawn_once_and_names_the_vessels_where_it_is_not_that_of_all():
    cups = [steady(name, 24.0) for name in "abc"]
    air = series(lambda h: 12.5 if h < 12 else 19.5)
    words = said(night(*cups, room_air=(RoomAir(("a", "b", "c"), air),)))
    assert words.count("Room") == 1
    assert "12.5 to 19.5 °C" in words
    two = said(night(*cups, unit="F", room_air=(RoomAir(("a",), air), RoomAir(("b", "c"), air))))
    assert two.count("Room") == 2
    assert {"a  54.5 to 67.1 °F", "b and c  54.5 to 67.1 °F"} <= set(two)
    assert "Room" not in said(night(*cups, room_air=(RoomAir(("a", "b", "c"), ()),)))


def test_what_is_done_to_all_at_once_is_said_once():
    record = night(*(steady(name, 24.0) for name in "abc"))
    assert "09:00 all: top-up, 21 mL to the mark" in said(record)
    mixed = night(steady("a", 24.0), steady("b", 24.0, deeds=()), steady("c", 24.0))
    assert "09:12 a and c: stirred" in said(mixed)


def test_up_to_twelve_vessels_have_a_row_each_and_more_share_rows_with_those_alike():
    twelve = night(*(steady(f"cup-{n}", 24.0) for n in range(12)))
    assert [len(group) for group in groups_of(twelve)] == [1] * 12
    more = night(*(steady(f"cup-{n}", 24.0 if n % 2 else 26.0) for n in range(24)))
    assert [len(group) for group in groups_of(more)] == [12, 12]
    assert all(len({one.water_c for one in group}) == 1 for group in groups_of(more))
    assert sum("cup-23" in word for word in said(more)) == 1


def test_two_thermometers_within_what_the_data_sheet_allows_are_alike_and_no_others():
    """A DS18B20 is right to within 0.5 K (the data sheet)."""
    within, beyond = (
        [steady(f"cup-{n}", 24.0 + step_k * (n % 2)) for n in range(13)] for step_k in (0.45, 0.55)
    )
    assert len(groups_of(night(*within))) == 1
    assert len(groups_of(night(*beyond))) == 2


@pytest.mark.parametrize(
    "changed",
    [
        {"cold_c": 18.0},
        {"watched": False},
        {"open_alarms": (Event(at_hour(3), "lamp", "the lamp is off"),)},
        LOW,
        {"batch_set_at": None},
        {"stage": "harvested"},
        {"water_c": ()},
    ],
)
def test_vessels_in_another_state_do_not_share_a_row(changed):
    cups = [steady(f"cup-{n}", 24.0) for n in range(13)]
    assert len(groups_of(night(*cups, steady("other", 24.0, **changed)))) == 2


@pytest.mark.parametrize("count", [13, 24, 60])
def test_however_many_and_different_there_are_at_most_twelve_rows_hold_all(count):
    kinds = [f"trouble-{n}" for n in range(count)]
    cups = [
        steady(f"cup-{n}", 12.0 + n, open_alarms=(Event(at_hour(3), kind, kind),))
        for n, kind in enumerate(kinds)
    ]
    for record in (night(*cups), night(*(steady(one.vessel, 12.0 + n) for n, one in enumerate(cups)))):
        groups = groups_of(record)
        assert len(groups) <= MOST_ROWS
        assert sorted(names(one for group in groups for one in group)) == sorted(names(cups))


def test_the_level_of_what_was_drawn_off_is_no_level():
    assert to_low_mark_ml(vessel()) == pytest.approx(32.3)
    assert to_low_mark_ml(vessel(stage="harvested")) is None
    assert to_low_mark_ml(vessel(batch_set_at=None)) is None


def test_the_alt_text_states_the_finding_the_worst_first():
    off = (Span(at_hour(2), at_hour(4)),)
    record = night(
        steady("b", 24.0), vessel("tray-a", water_c=series(lambda h: 10.8 if 2 <= h < 17 else 24.0))
    )
    text = alt_text(record).replace("\u00a0", " ")
    assert text == (
        "Chart of Room 12, Fri 20:00 to Sat 20:00. tray-a was too cold for 15 hours, coldest 10.8 °C. "
        "Hatched: 83 to 100 %. b: water from 24.0 °C to 24.0 °C. Hatched: 83 to 100 %."
    )
    assert "The station was off for 2 h." in alt_text(night(vessel(), outages=off))
    assert "Not read for 5 hours." in alt_text(night(vessel(out=((3, 8),))))
    assert "Alarm: the lamp is off." in alt_text(
        night(vessel(open_alarms=(Event(at_hour(3), "lamp", "the lamp is off"),)))
    )
    assert "The water is at the low mark or below." in alt_text(night(vessel(**LOW)))
    assert "no readings of the water" in alt_text(night(vessel(water_c=())))


def test_the_alt_text_of_many_vessels_stays_short():
    twelve = alt_text(night(*(steady(f"cup-{n}", 12.0 + n) for n in range(12))))
    assert "4 more vessels are in the chart." in twelve
    alike = alt_text(night(*(steady(f"cup-{n}", 10.0) for n in range(24))))
    assert "cup-0, cup-1, cup-2 and 21 more were too cold for up to 24 hours" in alike
