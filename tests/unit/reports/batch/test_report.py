"""The report of a batch: it says what was seen, and nothing more than that."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.batch.account import written
from reports.batch.html import html_of
from reports.batch.lines import lines_of
from reports.batch.records import PlannedBatch, SeenHatch, WaterSpent
from reports.batch.verdict import verdict
from reports.batch.watched import watched
from reports.records import Event, PastAlarm, RangePoint, Span
from reports.times import full_moment
from tests.kit.batch_samples import account, batch
from tests.kit.report_samples import BEGAN, at_hour, band, believed, series

WELL = "No limit was passed in that time."
ALL_GONE = ((0.0, 25.0),)


def calm(out=(), **named):
    """A vessel whose water stays at 24 °C, but for hours in which nothing was read."""
    return {
        "water_c": series(lambda _: 24.0, out=out),
        "loss_ml": band(lambda _: 5.0, lambda _: 2.0),
        "salinity_g_per_kg": band(lambda _: 25.0, lambda _: 1.0),
        **named,
    }


def said(one):
    return " ".join(verdict(one))


def texts(report):
    return [" | ".join(cells) for _, cells in lines_of(report)]


def test_a_batch_that_was_watched_and_kept_its_limits_is_called_so() -> None:
    assert WELL in said(batch(named=calm()))


@given(
    began=st.floats(0.0, 22.0),
    length=st.floats(0.0, 20.0),
    water_c=st.floats(15.0, 35.0),
    loss=st.floats(0.0, 60.0),
    salt=st.floats(5.0, 60.0),
    alarm=st.booleans(),
    sure=st.booleans(),
)
def test_nothing_is_called_well_that_was_unwatched_or_passed_a_limit(
    began: float, length: float, water_c: float, loss: float, salt: float, alarm: bool, sure: bool
) -> None:
    swings = {
        "water_c": series(lambda h: water_c if 3.0 <= h < 5.0 else 24.0, out=((began, began + length),)),
        "loss_ml": band(lambda _: loss, lambda _: 2.0),
        "salinity_g_per_kg": band(lambda _: salt, lambda _: 1.0),
        "past_alarms": (PastAlarm("lamp", "the lamp was off", Span(BEGAN, at_hour(1))),) if alarm else (),
    }
    one = batch(named=swings, recorded={"clock_sure": sure})
    read = [p.value for p in one.vessel.water_c if p.value is not None]
    unread_h = min(length, 24.0 - began)
    bad = (
        unread_h > 24.0 * 0.05 + 0.2
        or any(value < 20.0 or value > 30.0 for value in read)
        or loss >= 40.0
        or not 10.0 <= salt <= 45.0
        or alarm
        or not sure
    )
    assert not (bad and WELL in said(one))
    if unread_h > 13.0:
        assert "what happened in most of it is not known" in said(one)


def test_a_vessel_that_nobody_read_is_said_to_be_unknown() -> None:
    one = batch(named=calm(out=ALL_GONE))
    assert watched(one).share == 0.0
    assert "was not watched at all" in said(one)
    assert "Whether its limits were kept is not known." in said(one)
    assert WELL not in said(one)
    assert any("Water: no readings" in line for line in texts(written(account(one))))


def test_what_was_drawn_off_is_no_low_water() -> None:
    kept = band(lambda _: 25.0, lambda _: 1.0)[:10]
    levels = tuple(RangePoint(p.at, believed(900.0, 9.0)) for p in band(lambda _: 0.0, lambda _: 1.0)[10:])
    calm_until = calm(loss_ml=(*band(lambda _: 5.0, lambda _: 1.0)[:10], *levels), salinity_g_per_kg=kept)
    assert WELL in said(batch(named=calm_until))


@pytest.mark.parametrize(
    ("low_until", "drawn", "well"), [(13, True, True), (13, False, False), (15, True, False)]
)
def test_what_was_drawn_off_and_filled_up_again_is_no_low_water(
    low_until: int, drawn: bool, well: bool
) -> None:
    low = band(lambda hour: 900.0 if 12 <= hour < low_until else 5.0, lambda _: 1.0)
    harvest = [Event(at_hour(12), "harvest", "100 mL drawn off")] if drawn else []
    deeds = (*harvest, Event(at_hour(13), "top-up", "filled"))
    assert (WELL in said(batch(named=calm(loss_ml=low, deeds=deeds)))) is well


def test_every_day_of_a_report_has_its_date() -> None:
    drawn = Event(at_hour(12), "harvest", "100 mL drawn off")
    lines = texts(written(account(batch(named=calm(deeds=(drawn,))))))
    (done,) = [line for line in lines if "100 mL drawn off" in line]
    assert f" {at_hour(12).day} " in done
    assert any(line.startswith("Coldest: ") and f" {BEGAN.day} " in line for line in lines)


def test_the_largest_share_that_was_seen_is_told_and_when_first() -> None:
    looks = (
        SeenHatch(at_hour(10), "hatched", "88 % hatched", 0.88),
        SeenHatch(at_hour(15), "hatched", "100 % hatched", 1.0),
        SeenHatch(at_hour(18), "hatched", "100 % hatched", 1.0),
        SeenHatch(at_hour(20), "hatched", "92 % hatched", 0.92),
    )
    assert f"somebody saw 100 % hatched, {full_moment(at_hour(15))}" in said(batch(looks=looks))


def test_never_is_only_said_of_what_was_watched() -> None:
    half = texts(written(account(batch(named=calm(out=((6.0, 18.0),))))))
    assert "Below 20.0 °C: never while it was watched" in half
    assert "Below 20.0 °C: never" in texts(written(account(batch(named=calm()))))


@pytest.mark.parametrize(
    ("look", "sentence"),
    [
        (SeenHatch(at_hour(20), "hatched", "62 % hatched", 0.62), "somebody saw 62 % hatched"),
        (SeenHatch(at_hour(20), "hatched", "none hatched yet", 0.0), "none had hatched"),
        (
            SeenHatch(at_hour(20), "first-swimmer", "first swimmer seen", None),
            "It hatched: first swimmer seen",
        ),
        (None, "Nobody noted whether it hatched."),
    ],
)
def test_how_it_hatched_is_what_somebody_saw(look: SeenHatch | None, sentence: str) -> None:
    assert sentence in said(batch(looks=() if look is None else (look,)))


def test_the_last_share_tells_more_than_an_early_swimmer() -> None:
    looks = (
        SeenHatch(at_hour(10), "hatched", "none hatched yet", 0.0),
        SeenHatch(at_hour(15), "first-swimmer", "first swimmer seen", None),
        SeenHatch(at_hour(20), "hatched", "70 % hatched", 0.7),
    )
    assert "somebody saw 70 % hatched" in said(batch(looks=looks))


def test_a_hatch_that_never_came_where_it_should_have_asks_about_the_tin() -> None:
    none = (SeenHatch(at_hour(23), "hatched", "none hatched yet", 0.0),)
    assert "The tin may be old" in said(batch(looks=none))


@pytest.mark.parametrize(
    ("began", "sentence"),
    [
        (14, "half most likely hatched in"),
        (4, "half most likely hatched after"),
        (20, "had most likely hatched before"),
    ],
)
def test_a_plan_that_was_kept_is_told_and_whether_the_hatch_fell_there(began: int, sentence: str) -> None:
    lesson = Span(at_hour(began), at_hour(began + 4))
    plan = PlannedBatch(0.05, 25.0, 250.0, "blue tin", True, 250.0, set_at=at_hour(-2), lesson=lesson)
    lines = texts(written(account(batch(planned=plan))))
    assert any(line.startswith("Planned to be set: Friday 15 January 2027 at 18:00") for line in lines)
    assert any(line.startswith("Planned for the lesson: ") for line in lines)
    assert any(f"{sentence} the lesson." in line for line in lines)  # t50 is at hour 17
    assert not any("lesson" in line for line in texts(written(account())))


def test_what_was_not_noted_is_said_so() -> None:
    bare = batch(planned=PlannedBatch(None, None, None, None, None, 250.0), looks=())
    lines = texts(written(account(bare)))
    assert "Salt: not noted" in lines
    assert "Tin of cysts: not noted" in lines
    assert "Water: not noted; the mark is at 250 mL" in lines


def test_outages_doubts_and_an_unsure_clock_are_told() -> None:
    off = {
        "outages": (Span(at_hour(2), at_hour(5)),),
        "doubts": (Event(at_hour(3), "water", "maybe it hangs in air"),),
        "clock_sure": False,
    }
    lines = texts(written(account(batch(recorded=off))))
    assert any(line.startswith("Station off: ") for line in lines)
    assert "Probe water: maybe it hangs in air" in lines
    assert any("clock was not sure" in line for line in lines)


def test_evaporation_a_day_is_of_the_days_that_it_is_known_of() -> None:
    water = WaterSpent(believed(30.0, 5.0), 2.0, 0.0, 0.0)
    lines = texts(written(account(batch(water=water))))
    assert "Evaporated, calculated: most likely 30 mL (25 to 35), 15 mL a day" in lines


def test_fahrenheit_stretches_differences_and_shifts_temperatures() -> None:
    lines = texts(written(account(unit="F")))
    assert "The lamp lifts the water by | 7.2 °F (1.8 to 12.6) | 9.0 °F (7.2 to 10.8)" in lines
    assert any("in water of 77 °F" in line for line in lines)
    assert not any("°C" in line for line in lines)


def test_the_cautions_are_in_every_report_and_the_schools_rules_come_first() -> None:
    lines = texts(written(account()))
    first = next(place for place, line in enumerate(lines) if "school's rules come first" in line)
    rest = " ".join(lines[first:])
    for word in ("Never release", "bleaches or boils", "Wash your hands", "allergy", "unplug"):
        assert word in rest


def test_as_html_it_is_one_file_that_loads_nothing_and_escapes_what_people_wrote() -> None:
    named = {"deeds": (Event(at_hour(3), "note", "<b>milky</b> & so"),)}
    page = html_of(written(account(batch(named=named)), {"batch-0": 'a "chart"'}), {"batch-0": b"<svg/>"})
    assert "&lt;b&gt;milky&lt;/b&gt; &amp; so" in page
    assert 'src="data:image/svg+xml;base64,' in page
    assert "a &quot;chart&quot;" in page
    assert not any(mark in page for mark in ("http:", "https:", "<script", 'src="cid', "<link"))


def test_of_several_batches_each_begins_a_part_of_its_own() -> None:
    report = written(account(batch(named={"vessel": "jar"}), batch(named={"vessel": "cone", "count": 1})))
    parts = [cells[0] for kind, cells in lines_of(report) if kind == "part"]
    assert [part.split(":")[0] for part in parts] == ["jar (24 cups)", "cone"]
    assert not [kind for kind, _ in lines_of(written(account())) if kind == "part"]
    assert [cells[0] for kind, cells in lines_of(report) if kind == "picture"] == ["batch-0", "batch-1"]


def test_a_short_excursion_of_one_reading_counts_as_passed() -> None:
    once = series(lambda h: 31.0 if abs(h - 4.0) < 0.01 else 24.0)
    one = watched(batch(named=calm(water_c=once)))
    assert one.passed
    assert one.hot > timedelta(0)
