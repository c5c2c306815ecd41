"""A heater that holds the water: believed in where it is given, learned where it is not, and no longer once
it fails."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.care.deed import Deed
from daemon.estimates.local_hour import LocalHour, PlainCalendar
from daemon.estimates.quantile import Estimate
from daemon.estimates.timeline.stretch import Stretch
from daemon.estimates.warmth.belief import WarmthBelief
from daemon.estimates.warmth.heater import HeaterBelief
from tests.kit.heated_vessels import FAILS_AT, HOUR, SET_AT, Asked, week

MONDAY = 1_800_230_400  # 2027-01-18 00:00 UTC
NOON_H, STEP_S = 12, 300
TAU_H = 1.9  # of a litre


class Evening(PlainCalendar):
    """A lamp from 18:00 to 07:00."""

    def local(self, at: int) -> LocalHour:
        plain = super().local(at)
        return replace(plain, lamp_due=plain.hour >= 18 or plain.hour < 7)


class Always(PlainCalendar):
    """A lamp day and night."""

    def local(self, at: int) -> LocalHour:
        return replace(super().local(at), lamp_due=True)


class Vessel:
    """A litre whose water is told, or follows what surrounds it."""

    def __init__(
        self,
        kind: str = "cone",
        heater_c: float | None = None,
        *,
        lamp: bool = False,
        calendar: PlainCalendar | None = None,
    ) -> None:
        calendar = calendar or (Evening() if lamp else PlainCalendar())
        self.belief = WarmthBelief(1000.0, calendar, has_lamp=lamp, heater=HeaterBelief(kind, heater_c))
        self.at, self.water_c = MONDAY + NOON_H * HOUR, 20.0

    def stand(self, hours: float, water_c: float, room_c: float | None = None) -> None:
        for _ in range(round(hours * HOUR / STEP_S)):
            self._tell(water_c, room_c)

    def follow(self, hours: float, around_c: float) -> None:
        for _ in range(round(hours * HOUR / STEP_S)):
            self._tell(around_c + (self.water_c - around_c) * math.exp(-STEP_S / HOUR / TAU_H), None)

    def _tell(self, water_c: float, room_c: float | None) -> None:
        mean, self.water_c = 0.5 * (self.water_c + water_c), water_c
        self.belief.feed_stretch(Stretch(self.at, self.at + STEP_S, mean, mean, mean, room_c, None, None))
        self.at += STEP_S

    def coldest(self) -> Estimate:
        found = self.belief.coldest_next_16h()
        assert found is not None
        return found


@pytest.mark.parametrize(("kind", "least_c"), [("cone", 26.0), ("jar", 26.0)])
def test_water_that_stands_warm_and_level_into_the_evening_is_held_in_the_first_night(
    kind: str, least_c: float
) -> None:
    vessel = Vessel(kind)
    vessel.stand(8, 26.8)  # noon to eight
    assert vessel.coldest().p10 > least_c
    assert vessel.coldest().p90 < 27.3


def test_a_cup_that_stands_so_is_more_likely_held_than_not() -> None:
    vessel = Vessel("cup")
    vessel.stand(12, 26.8)
    assert vessel.coldest().p50 > 26.0


def test_nobody_is_asked_about_the_heater_of_a_cup_that_was_not_given_one() -> None:
    level, given = Vessel("cup"), Vessel("cup", 27.0)
    level.stand(28, 26.8)
    assert level.belief.heat.held_c is not None
    assert (level.belief.has_heater, given.belief.has_heater) == (False, True)


def test_by_day_alone_a_level_warm_room_is_no_heater() -> None:
    vessel = Vessel()
    vessel.stand(4.5, 26.8)
    assert vessel.belief.heat.held_c is None
    assert vessel.coldest().p10 < 22.0


def test_a_cup_whose_water_left_its_level_is_not_taken_for_held_the_next_day() -> None:
    vessel = Vessel("cup")
    vessel.stand(12, 26.8)
    assert vessel.belief.heat.held_c is not None
    vessel.follow(12, 17.0)
    vessel.stand(9, 26.8)
    assert vessel.belief.heat.held_c is None


@pytest.mark.parametrize("kind", ["cup", "jar", "cone"])
def test_a_room_that_is_always_heated_is_no_heater(kind: str) -> None:
    vessel = Vessel(kind)
    vessel.stand(24, 21.0, room_c=22.0)
    assert vessel.belief.heat.held_c is None


def test_water_far_above_a_measured_room_is_held_by_day_as_well() -> None:
    vessel = Vessel()
    vessel.stand(4, 26.8, room_c=20.0)
    assert vessel.belief.heat.held_c == pytest.approx(26.8, abs=0.2)


def test_a_heater_that_is_given_counts_from_the_first_hour() -> None:
    vessel = Vessel(heater_c=27.0)
    vessel.belief.feed_deed(Deed(vessel.at, "cup", "set", 1.0, {}))
    vessel.follow(1, 30.0)
    assert 21.0 < vessel.water_c < 25.0
    night = vessel.belief.water_c_at(MONDAY + 30 * HOUR)
    assert night is not None
    assert night.p10 > 25.0
    assert night.p90 < 28.5


def test_a_heater_that_was_given_and_is_not_plugged_in_is_given_up_within_hours() -> None:
    vessel = Vessel(heater_c=27.0)
    vessel.stand(3, 20.0)
    assert not Vessel().belief.has_heater
    assert vessel.belief.heat.held_c is None
    vessel.belief.feed_deed(Deed(vessel.at, "cup", "set", 1.0, {}))
    assert vessel.belief.heat.held_c == 27.0, "whoever sets a batch plugs it in"


@pytest.mark.parametrize("heater_c", [None, 27.0])
def test_a_heater_that_fails_is_told_by_the_fall_and_the_room_is_foreseen(heater_c: float | None) -> None:
    vessel = Vessel(heater_c=heater_c)
    vessel.stand(28, 26.8)
    assert vessel.coldest().p10 > 26.0
    assert vessel.belief.has_heater
    vessel.follow(2, 16.0)
    assert vessel.belief.has_heater, "it is looked at, for it failed"
    assert vessel.belief.heat.held_c is None
    assert vessel.coldest().p90 < 24.0
    assert 13.0 < vessel.coldest().p50 < 19.0


def test_a_mended_heater_is_believed_in_again_after_some_hours_at_its_level() -> None:
    vessel = Vessel()
    vessel.stand(28, 26.8)
    vessel.follow(6, 16.0)
    vessel.follow(3, 32.0)
    vessel.stand(6, 26.8)
    assert vessel.belief.heat.held_c == pytest.approx(26.8, abs=0.3)


def test_a_heater_that_was_given_is_believed_where_it_was_given_once_an_idle_week_is_over() -> None:
    vessel = Vessel(heater_c=27.0)
    vessel.stand(20.0, 27.0)
    vessel.stand(5 * 24.0, 18.3)
    vessel.belief.feed_deed(Deed(vessel.at, "cone", "set", 2.0))
    vessel.stand(3.0, 27.0)
    assert vessel.coldest().p10 > 25.5


def test_an_evenings_lamp_does_not_stand_for_a_failed_heater() -> None:
    vessel = Vessel(lamp=True)
    vessel.stand(28, 26.8)
    vessel.follow(4, 16.0)
    vessel.follow(1, 30.0)
    vessel.stand(5, 24.5)
    assert vessel.belief.heat.held_c is None


def test_neither_lamp_nor_offset_is_learned_from_water_that_a_heater_holds() -> None:
    vessel = Vessel(heater_c=27.0, lamp=True)
    vessel.stand(40, 27.0, room_c=18.0)
    heat = vessel.belief.heat
    assert heat.rise_k == pytest.approx(4.0, abs=0.1)
    assert heat.offset_k == pytest.approx(-1.0, abs=0.1)


def test_what_was_learned_of_the_cup_from_level_water_is_taken_back() -> None:
    vessel = Vessel(lamp=True)
    vessel.stand(40, 26.8)
    assert vessel.belief.heat.held_c is not None
    assert vessel.belief.heat.rise_k > 3.0, "the lamp went on and off, and the water stayed"
    vessel.follow(3, 16.0)
    later = vessel.belief.water_c_at(vessel.at + 34 * HOUR)
    assert later is not None
    assert later.p50 < 23.0, "the room was never warm"


def test_a_thermostats_band_belongs_to_the_coldest_that_is_foreseen() -> None:
    def stood(band_k: float) -> float:
        vessel = Vessel(heater_c=27.0)
        for _ in range(48):
            vessel.stand(0.25, 27.0 - 0.5 * band_k)
            vessel.stand(0.25, 27.0 + 0.5 * band_k)
        return vessel.coldest().p50

    assert stood(1.4) == pytest.approx(26.3, abs=0.2)
    assert stood(0.1) == pytest.approx(26.9, abs=0.2)


def test_a_thermostat_lets_the_water_no_lower_however_long_one_waits() -> None:
    vessel = Vessel(heater_c=27.0)
    for _ in range(48):
        vessel.stand(0.25, 26.3)
        vessel.stand(0.25, 27.7)
    week = vessel.belief.coldest(vessel.at, vessel.at + 7 * 24 * HOUR)
    assert week is not None
    assert week.p50 == pytest.approx(vessel.coldest().p50, abs=0.1)
    assert week.p50 == pytest.approx(26.3, abs=0.15)


def test_the_lowest_of_a_night_is_still_known_the_next_afternoon() -> None:
    vessel = Vessel(heater_c=27.0)
    for day in range(2):
        for low_c in (26.2, 26.6):  # noon to midnight, midnight to noon
            for _ in range(24):
                vessel.stand(0.25, low_c)
                vessel.stand(0.25, 27.2)
        assert day == 1 or vessel.coldest().p50 == pytest.approx(26.2, abs=0.15)
    for _ in range(100):
        vessel.stand(0.25, 26.6)
        vessel.stand(0.25, 27.2)
    assert vessel.coldest().p50 == pytest.approx(26.6, abs=0.15), "and forgotten after two days"


def test_the_half_hour_in_which_it_was_warmed_up_again_is_not_of_its_band() -> None:
    vessel = Vessel(heater_c=27.0)
    vessel.stand(24, 27.0)
    vessel.stand(1, 25.5)
    vessel.stand(0.25, 26.3)
    vessel.stand(4, 27.0)
    assert vessel.coldest().p50 == pytest.approx(26.9, abs=0.2)


# Under a lamp in a room nobody measures; 28 °C is what some lamps make of a warm room.
def under_a_lamp(swing_k: float, *, from_h: float = 18, to_h: float = 32) -> Vessel:
    """Noon to eight the next morning at 28 °C; it swings from one of the hours since midnight to another."""
    vessel = Vessel(lamp=True, calendar=Always())
    for half_hour in range(40):
        swings = from_h <= NOON_H + half_hour / 2 < to_h
        vessel.stand(0.25, 28.0 - (0.5 * swing_k if swings else 0.0))
        vessel.stand(0.25, 28.0 + (0.5 * swing_k if swings else 0.0))
    return vessel


def test_water_that_turns_up_and_down_by_night_is_held_by_a_thermostat() -> None:
    switched, smooth = under_a_lamp(0.6), under_a_lamp(0.0)
    assert switched.coldest().p10 > 27.0
    assert smooth.coldest().p10 < 25.0, "a lamp may do it"


def test_turning_by_day_or_by_no_more_than_a_probes_noise_proves_no_thermostat() -> None:
    smooth = under_a_lamp(0.0).coldest().p10
    assert under_a_lamp(0.6, from_h=NOON_H, to_h=16).coldest().p10 < 25.0, "clouds"
    assert under_a_lamp(0.12).coldest().p10 == pytest.approx(smooth, abs=0.3)


def test_water_warmer_than_it_is_held_tells_of_its_room() -> None:
    vessel = Vessel(heater_c=24.0)
    vessel.stand(4, 24.0)
    for _ in range(11):
        vessel.stand(2, 27.4)
        vessel.stand(2, 28.2)
    assert vessel.coldest().p50 > 26.5


def test_what_a_heater_holds_is_among_what_the_numbers_rest_on_and_only_then() -> None:
    vessel = Vessel()
    vessel.stand(3, 26.8)
    assert "heater_c" not in vessel.belief.knowns()
    vessel.stand(7, 26.8)
    assert vessel.belief.knowns()["heater_c"].p50 == pytest.approx(26.8, abs=0.1)


hours_of_water = st.lists(
    st.tuples(st.floats(0.5, 6.0), st.floats(8.0, 34.0), st.none() | st.floats(8.0, 30.0)), max_size=12
)


@settings(max_examples=25, deadline=None)
@given(hours_of_water, st.sampled_from(["cup", "jar", "cone"]), st.none() | st.floats(15.0, 35.0))
def test_whatever_the_water_does_what_is_believed_is_in_order(
    told: list[tuple[float, float, float | None]], kind: str, heater_c: float | None
) -> None:
    vessel = Vessel(kind, heater_c)
    vessel.stand(0.5, 22.0)
    for hours, water_c, room_c in told:
        vessel.stand(hours, water_c, room_c)
    held = vessel.belief._heater.held
    if held is not None:
        assert 0.0 < held.share < 1.0
        assert 8.0 <= held.level_c <= 35.0
    twin = vessel.belief.copy()
    before, believed = vessel.belief.knowns(), vessel.coldest()
    twin.feed_stretch(Stretch(vessel.at, vessel.at + 3600, 9.0, 9.0, 9.0, None, None))
    assert (vessel.belief.knowns(), vessel.coldest()) == (before, believed)
    assert believed.p10 <= believed.p50 <= believed.p90
    assert all(math.isfinite(value) for value in (believed.p10, believed.p90))


# On physics that are not the estimators' --------------------------------------------------------------


def held(records: list[Asked]) -> float:
    return sum(r.believed.p10 <= r.truth_c <= r.believed.p90 for r in records) / len(records)


def test_ranges_of_heated_cones_hold_the_truth_and_never_call_them_cold() -> None:
    asked = [r for seed in range(4) for r in week(seed, every_s=4 * HOUR)]
    settled = [r for r in asked if r.at >= SET_AT + 9 * HOUR]
    assert held(settled) > 0.65
    assert not any(r.believed.p50 < r.truth_c - 1.5 for r in settled), "none is said to be too cold"


def test_ranges_hold_the_truth_from_two_hours_after_a_heater_failed() -> None:
    asked = [r for seed in range(4) for r in week(seed, every_s=4 * HOUR, fails_at=FAILS_AT, given=True)]
    assert held([r for r in asked if r.at > FAILS_AT + 2 * HOUR]) > 0.65
