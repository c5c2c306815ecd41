"""What a chart says of a moment, by finger, key or table: what was so then, in the letters' words."""

import json
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports import amounts
from reports.language import spoken
from reports.page.plot.answers import quantities
from reports.page.plot.span import plot_span
from reports.page.plot.steps import moments, packed, step_of
from reports.records import Point, Range, RangePoint
from tests.kit import plot_samples
from tests.kit.report_samples import at_hour, night, vessel

MINUTES = timedelta(minutes=5)


def answers(record, at, step=MINUTES):
    (one,) = record.vessels
    air = record.room_air[0].air_c if record.room_air else ()
    return {told.name: told.at(at, step) for told in quantities(one, air, plot_span(record, now=False))}


def test_a_moment_is_answered_for_each_quantity_that_has_data() -> None:
    record = night(
        vessel(
            water_c=(Point(at_hour(1), 23.4), Point(at_hour(1.1), 23.6)),
            light=(Point(at_hour(1), 850.0), Point(at_hour(1.1), 860.0)),
            loss_ml=(RangePoint(at_hour(1), Range(8.2, 12.1, 17.4)),),
            salinity_g_per_kg=(RangePoint(at_hour(1), Range(24.0, 25.0, 26.4)),),
            hatched_fraction=(RangePoint(at_hour(1), Range(0.4, 0.5, 0.62)),),
        )
    )
    assert answers(record, at_hour(1.05)) == {
        "Water": "23.4 °C",
        "Light": "850 lux",
        "Level": "12 mL below the mark (8 to 17)",
        "Salt": "25.0 g (24.0 to 26.4)",
        "Hatched": "50 % (40 to 62)",
    }
    assert answers(replace(record, unit="F"), at_hour(1.05))["Water"] == "74.1 °F", "23.4 · 1.8 + 32 = 74.12"


def test_a_level_about_the_mark_names_both_sides() -> None:
    levels = [Range(-3.0, -1.0, 2.0), Range(0.0, 0.2, 4.0), Range(5.0, 5.0, 5.0), Range(-9.0, -6.0, -4.0)]
    series = tuple(RangePoint(at_hour(n), one) for n, one in enumerate(levels))
    record = night(vessel(loss_ml=series))
    said = [answers(record, at_hour(n))["Level"] for n in range(4)]
    assert said == [
        "1 mL above the mark (3 mL above to 2 mL below)",
        "at the mark (at the mark to 4 mL below)",
        "5 mL below the mark",
        "6 mL above the mark (4 to 9)",
    ]


@given(st.lists(st.floats(-40.0, 60.0), min_size=2, max_size=90))
def test_over_a_long_step_the_coldest_and_the_warmest_are_said(values: list[float]) -> None:
    points = tuple(Point(at_hour(n / 60), value) for n, value in enumerate(values))
    said = answers(night(vessel(water_c=points)), at_hour(len(values) / 120), timedelta(hours=3))["Water"]
    low, high = (amounts.number(end(values), 1) for end in (min, max))
    assert said == (f"{low} to {high} °C" if low != high else f"{high} °C")


def test_of_a_gap_nothing_is_said() -> None:
    record = night(vessel(out=[(5.0, 8.0)], off=[(5.0, 8.0)]))
    assert answers(record, at_hour(4.5))["Water"]
    said = answers(record, at_hour(6.5))
    assert (said["Water"], said["Light"], said["Level"]) == ("", "", "")


def test_of_readings_thinned_to_one_an_hour_every_minute_is_answered() -> None:
    points = tuple(Point(at_hour(n), 20.0 + n) for n in range(24))
    record = night(vessel(water_c=points))
    assert [answers(record, at_hour(n + 0.9))["Water"] for n in range(3)] == ["20.0 °C", "21.0 °C", "22.0 °C"]


def test_a_vessel_without_data_has_nothing_to_answer() -> None:
    bare = vessel(water_c=(), light=(), loss_ml=(), salinity_g_per_kg=(), hatched_fraction=())
    assert answers(night(bare), at_hour(3)) == {}


SAMPLES = [plot_samples.a_day, plot_samples.weekend, plot_samples.two_months, plot_samples.into_summer_time]
SAMPLES += [plot_samples.into_winter_time]


@pytest.mark.parametrize("sample", SAMPLES)
def test_what_is_packed_is_what_is_answered(sample) -> None:
    record = sample()
    (one,), span = record.vessels, plot_span(record, now=True)
    told = quantities(one, record.room_air[0].air_c, span)
    body = json.loads(packed(told, span))
    step = step_of(span)
    asked = moments(span, step)
    assert body["at"] == [asked[0].timestamp(), step.total_seconds(), asked[-1].timestamp(), len(asked)]
    for quantity, runs in zip(told, body["said"], strict=True):
        pairs = zip(runs["runs"][::2], runs["runs"][1::2], strict=True)
        texts = [runs["texts"][text] for text, count in pairs for _ in range(count)]
        assert texts == [quantity.at(at, step) for at in asked]
    for at in asked:
        ahead = [offset for since, offset in body["clock"] if since <= at.timestamp()][-1]
        assert timedelta(seconds=ahead) == at.utcoffset(), "plot.js tells the time by this"
        day = at.date() - asked[0].date()
        assert body["days"][day.days].startswith(f"{at:%a}")


def test_the_last_moment_is_always_answered_and_none_lies_outside() -> None:
    for minutes in range(61, 5000, 97):
        began = datetime(2027, 1, 15, 10, 17, 31, tzinfo=plot_samples.ZONE)
        record = night(span=type(night().span)(began, at_hour(minutes / 60, began)))
        span = plot_span(record, now=False)
        asked = moments(span, step_of(span))
        assert asked[-1] == span.ended
        assert span.began <= asked[0]
        assert len(asked) <= 292


def test_nothing_in_a_packed_text_ends_the_data_block() -> None:
    record = plot_samples.a_day()
    (one,), span = record.vessels, plot_span(record, now=True)
    told = [replace(quantities(one, (), span)[0], name="</script><script>alert(1)</script>")]
    assert "<" not in packed(told, span)
    assert json.loads(packed(told, span))["said"][0]["name"] == told[0].name


def test_german_answers_have_a_decimal_comma() -> None:
    with spoken("de"):
        record = night(vessel(water_c=(Point(at_hour(1), 23.4), Point(at_hour(1.1), 23.4))))
        assert next(iter(answers(record, at_hour(1.05)).values())) == "23,4 °C"
