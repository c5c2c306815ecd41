"""A picture shows what is known now, and what is not known as not known."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.page.picture.drawing import vessel_svg
from reports.page.picture.sighting import picture_of
from reports.page.picture.vessel_picture import FeltWarmth, LampLight, ProbePlace, VesselShape
from reports.records import Event, Point, Range, RangePoint, VesselNight
from tests.kit.report_samples import ENDED, any_of, at_hour, vessel
from tests.kit.vessel_pictures import CUP


def seen(now=ENDED, **changed):
    return picture_of(vessel(**changed), CUP, now, "C")


def read(water_c: float, hours: float = 24.0) -> tuple[Point, ...]:
    return (Point(at_hour(hours), water_c),)


def test_the_latest_beliefs_are_drawn() -> None:
    picture = seen()
    last = vessel()
    assert picture.loss_ml == last.loss_ml[-1].range
    assert picture.hatched == last.hatched_fraction[-1].range
    assert (picture.vessel, picture.count, picture.stage) == ("tray-a", 24, "hatching")
    assert (picture.low_ml, picture.brim_ml, picture.shape) == (40.0, 30.0, CUP)
    assert picture.age_days == pytest.approx(34 / 24)
    assert picture.lamp is LampLight.LIT or picture.lamp is LampLight.DARK


# The limits are 20 and 30 °C; a fifth of what lies between them is near a limit (sighting.py).
@pytest.mark.parametrize(
    ("water_c", "felt"),
    [
        (19.9, FeltWarmth.TOO_COLD),
        (20.0, FeltWarmth.COOL),
        (21.9, FeltWarmth.COOL),
        (22.1, FeltWarmth.RIGHT),
        (27.9, FeltWarmth.RIGHT),
        (28.1, FeltWarmth.WARM),
        (30.0, FeltWarmth.WARM),
        (30.1, FeltWarmth.TOO_HOT),
    ],
)
def test_warmth_is_felt_against_the_limits_of_the_vessel(water_c: float, felt: FeltWarmth) -> None:
    assert (seen(water_c=read(water_c)).warmth, seen(water_c=read(water_c)).water_c) == (felt, water_c)


def test_what_was_read_long_ago_is_not_known_now() -> None:
    late = ENDED + timedelta(hours=2)
    assert (seen(late).warmth, seen(late).water_c, seen(late).lamp) == (FeltWarmth.NOT_KNOWN, None, None)
    assert seen(water_c=()).warmth is FeltWarmth.NOT_KNOWN
    assert seen(water_c=()).probe is None


def test_nobody_judges_the_warmth_of_a_vessel_that_is_not_watched() -> None:
    assert seen(watched=False).warmth is None
    dry = seen(watched=False, dry=True, stage="nothing set", batch_set_at=None)
    assert (dry.probe, dry.loss_ml, dry.hatched) == (ProbePlace.AIR, None, None)


def test_after_a_harvest_and_without_a_batch_no_level_is_drawn() -> None:
    for stage in ("harvested", "ended", "nothing set"):
        assert seen(stage=stage).loss_ml is None
    assert seen(loss_ml=()).loss_ml is None
    nobody_knows = RangePoint(ENDED, Range(float("nan"), 1.0, float("inf")))
    assert seen(loss_ml=(nobody_knows,)).loss_ml is None


def test_a_lamp_is_dark_in_its_hours_lit_or_outside_of_them() -> None:
    assert seen(light=(Point(ENDED, 820.0),)).lamp is LampLight.LIT
    assert seen(light=(Point(ENDED, 4.0),)).lamp is LampLight.DARK
    assert seen(light=(Point(ENDED, 4.0),), lamp_hours=vessel().lamp_hours[:1]).lamp is LampLight.OUTSIDE
    assert seen(light=()).lamp is None
    assert seen(lamp_hours=()).lamp is None


def test_open_alarms_are_counted_and_covers_are_told() -> None:
    cold = Event(ENDED, "cold", "the water is too cold")
    assert seen(open_alarms=(cold, cold)).alarms == 2
    assert picture_of(vessel(), CUP, ENDED, "F", covered=True).covered
    assert replace(seen(), unit="F") == picture_of(vessel(), CUP, ENDED, "F")


@given(any_of(VesselNight, number=st.floats(0.1, 1e5)), st.sampled_from(["cup", "jar", "cone"]))
@settings(max_examples=60, deadline=None)
def test_any_night_can_be_drawn(night: VesselNight, kind: str) -> None:
    picture = picture_of(night, VesselShape(kind, 250.0, 38.0), ENDED, "C")
    assert vessel_svg(picture, "full").startswith("<svg ")
