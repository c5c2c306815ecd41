"""What is believed of the water's warmth in the coming hours and days."""

import math
import random
from dataclasses import dataclass, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.care.deed import Deed
from daemon.estimates.local_hour import LocalHour, PlainCalendar
from daemon.estimates.quantile import Estimate
from daemon.estimates.timeline.stretch import Stretch
from daemon.estimates.warmth.belief import WarmthBelief
from daemon.estimates.warmth.forecast import Now
from daemon.science.cup_heat_balance import CUP_UA_W_PER_K, cup_c_after, heat_capacity_j_per_k

MONDAY = 1_800_230_400  # 2027-01-18 00:00 UTC
HOUR = 3600
CELL = 300


@dataclass(frozen=True)
class Lamp(PlainCalendar):
    """UTC, people from Monday to Friday, a lamp from 18:00 to 07:00."""

    def local(self, at: int) -> LocalHour:
        plain = super().local(at)
        return replace(plain, lamp_due=plain.hour >= 18 or plain.hour < 7)


def stretch(hour: int, water_c: float, margin_c: float = 0.0) -> Stretch:
    at = MONDAY + hour * HOUR
    return Stretch(at, at + HOUR, water_c, water_c - margin_c, water_c + margin_c, None, None)


def found(estimate: Estimate | None) -> Estimate:
    assert estimate is not None
    return estimate


def daily(hour: int) -> float:
    """22 °C, 3 up in the afternoon and 3 down before dawn."""
    return 22.0 + 3.0 * math.sin((hour % 24 - 9) / 24 * 2 * math.pi)


class Shelf:
    """A cup by `cup_c_after` (the lumped balance of `science.warmth`) on a shelf of a told room."""

    def __init__(self, lamp_w: float = 0.0, *, room_seen: bool = False, light_seen: bool = True) -> None:
        self.belief = WarmthBelief(250.0, Lamp() if lamp_w else PlainCalendar(), has_lamp=lamp_w > 0.0)
        self.lamp_w, self.room_seen, self.light_seen = lamp_w, room_seen, light_seen
        self.at, self.water_c = MONDAY, 20.0
        self.lamp_works = True

    def live(self, hours: float, room_c: float | None = None, sun_k: float = 0.0) -> None:
        """Without a told room: 21 °C by day in the week, 17 °C at the end of the night and at weekends."""
        for _ in range(round(hours * HOUR / CELL)):
            air_c = school_room_c(self.at) if room_c is None else room_c
            lit = self.lamp_works and self.lamp_w > 0.0 and Lamp().local(self.at).lamp_due
            before = self.water_c
            self.water_c = cup_c_after(
                CELL / HOUR,
                before,
                air_c + sun_k,
                self.lamp_w if lit else 0.0,
                CUP_UA_W_PER_K,
                heat_capacity_j_per_k(250.0),
                0.18,
            )
            mean = round((before + self.water_c) * 8.0) / 16.0  # a DS18B20's steps of 1/16 °C
            light = (5.0 if lit else 0.1) if self.light_seen else None
            seen = air_c if self.room_seen else None
            self.belief.feed_stretch(Stretch(self.at, self.at + CELL, mean, mean, mean, seen, None, light))
            self.at += CELL


def school_room_c(at: int) -> float:
    hour, day = at % 86_400 / HOUR, (at - MONDAY) // 86_400 % 7
    if day < 5 and 5.0 <= hour < 16.0:
        return 17.0 + 4.0 * min(1.0, (hour - 5.0) / 3.0)
    return 17.0 + 4.0 * math.exp(-(hour - 16.0) / 4.0) if day < 5 and hour >= 16.0 else 17.0


def test_nothing_is_said_before_any_temperature() -> None:
    belief = WarmthBelief()
    assert belief.coldest_next_16h() is None
    assert belief.hottest_next_16h() is None
    assert belief.water_c_at(MONDAY) is None


def test_after_some_hours_of_a_school_day_a_night_is_expected_to_be_a_classrooms() -> None:
    belief = WarmthBelief()
    for hour in range(9, 16):
        belief.feed_stretch(stretch(hour, 20.0))
    night = found(belief.coldest(MONDAY + 16 * HOUR, MONDAY + 32 * HOUR))
    # Common practice, no source: classrooms lose 2 to 5 °C overnight.
    assert 15.0 <= night.p50 <= 18.0
    assert night.p10 <= 15.5
    assert night.p90 >= 18.0


def test_days_alike_are_foreseen_closely_in_the_end() -> None:
    belief = WarmthBelief()
    for hour in range(3 * 24 + 17):
        belief.feed_stretch(stretch(hour, daily(hour)))
    night = found(belief.coldest_next_16h())
    assert night.p50 == pytest.approx(19.0, abs=0.7)
    assert night.p90 - night.p10 < 3.0


def test_days_unlike_each_other_widen_the_range() -> None:
    def width(unrest_c: float) -> float:
        rng, belief, off = random.Random(4), WarmthBelief(), 0.0
        for hour in range(10 * 24):
            off = rng.gauss(0.0, unrest_c) if hour % 24 == 0 else off
            belief.feed_stretch(stretch(hour, daily(hour) + off * (hour % 24 < 8)))
        night = found(belief.coldest_next_16h())
        return night.p90 - night.p10

    assert width(3.0) > 1.5 * width(0.0)


def test_a_weekend_not_seen_yet_is_less_sure_than_a_school_night() -> None:
    shelf = Shelf()
    shelf.live(3 * 24 + 15.5)  # Thursday afternoon
    now = shelf.at
    night = found(shelf.belief.coldest(now, now + 16 * HOUR))
    weekend = found(shelf.belief.coldest(now + 24 * HOUR, now + 88 * HOUR))
    assert weekend.p90 - weekend.p10 > 1.15 * (night.p90 - night.p10)
    assert weekend.p10 < night.p10 - 0.5


def test_a_weekend_that_was_seen_is_expected_again() -> None:
    shelf = Shelf()
    shelf.live(5 * 24 + 5)
    shelf.live(48, 12.0)  # from Saturday to Monday, five o'clock
    shelf.live(4 * 24 + 10.5)  # up to Friday 15:30
    now = shelf.at
    weekend = found(shelf.belief.coldest(now, now + 64 * HOUR))
    school_night = found(shelf.belief.water_c_at(now + 10 * HOUR))
    assert weekend.p50 == pytest.approx(11.0, abs=1.5)  # 12 °C less the offset of 1 K
    assert weekend.p50 < school_night.p50 - 3.0


def test_the_lamps_rise_and_the_time_constant_are_learned_from_its_steps() -> None:
    # The balance of science.warmth: τ = C/UA = 1031/0.18 J/K over W/K = 1.59 h; rise = 0.9/0.18 = 5 K.
    for room_seen in (True, False):
        shelf = Shelf(0.9, room_seen=room_seen)
        shelf.live(4 * 24)
        heat = shelf.belief.heat
        assert heat.tau_h == pytest.approx(1.59, rel=0.25)
        assert heat.rise_k == pytest.approx(5.0, rel=0.25)


def test_the_offset_against_the_room_is_learned_where_the_room_is_measured() -> None:
    shelf = Shelf(0.9, room_seen=True)
    shelf.live(4 * 24)
    assert shelf.belief.heat.offset_k == pytest.approx(-1.0, abs=0.4)  # 0.18 W of evaporation over 0.18 W/K


def test_a_lamp_seen_to_stay_dark_lowers_the_night() -> None:
    works, fails = Shelf(0.9), Shelf(0.9)
    for shelf in (works, fails):
        shelf.live(2 * 24 + 17.5)
        shelf.lamp_works = shelf is works
        shelf.live(1.5)
    until = works.at + 10 * HOUR
    lit, dark = (found(shelf.belief.coldest(until - HOUR, until)) for shelf in (works, fails))
    assert dark.p50 < lit.p50 - 3.0
    assert dark.p10 < 17.0 < dark.p90 + 1.0  # room 17 or a little more, less 1 K


def test_a_failed_heating_is_expected_to_go_on_falling() -> None:
    shelf = Shelf()
    shelf.live(3 * 24 + 7)
    usual = found(shelf.belief.coldest_next_16h())
    for hour in range(6):
        shelf.live(1.0, 16.5 - 0.5 * hour)  # Thursday morning, and it gets colder instead of warmer
    cold = found(shelf.belief.coldest_next_16h())
    assert cold.p10 < 10.0
    assert cold.p50 < usual.p50 - 2.0


def test_a_mended_heating_is_believed_within_hours() -> None:
    shelf = Shelf()
    shelf.live(3 * 24)
    usual = found(shelf.belief.coldest_next_16h())
    for hour in range(24):
        shelf.live(1.0, 16.5 - 0.25 * hour)
    for room_c in (12.0, 15.0, 17.5, 19.0, 20.0, 20.5):
        shelf.live(1.0, room_c)
    mended = found(shelf.belief.coldest_next_16h())
    assert mended.p50 > usual.p50 - 2.5  # it was 10.5 °C six hours ago
    assert mended.p90 > usual.p50 - 1.0


def test_an_afternoons_sun_is_foreseen_from_the_slope_and_expected_the_next_day() -> None:
    shelf = Shelf()
    shelf.live(13.0)

    def afternoon(hours: int) -> None:
        for hour in range(hours):
            shelf.live(1.0, sun_k=12.0 * math.sin(math.pi * (hour + 0.5) / 6.0))

    afternoon(2)  # the sun has begun; the peak comes two hours later
    rising = found(shelf.belief.hottest_next_16h())
    assert shelf.water_c < 26.5
    assert rising.p90 > 30.0
    shelf.live(4.0, sun_k=8.0)
    shelf.live(17.0)
    noon = found(shelf.belief.hottest_next_16h())
    shelf.live(1.0)
    afternoon(2)
    shelf.live(4.0, sun_k=8.0)
    assert noon.p50 == pytest.approx(shelf.water_c, abs=2.0)


def test_it_never_claims_warmer_than_the_water_is_now_but_for_the_probes_own_error() -> None:
    belief = WarmthBelief()
    for hour in range(30):
        belief.feed_stretch(stretch(hour, 25.0 if hour < 29 else 15.0))
        night = found(belief.coldest_next_16h())
        assert night.p90 <= (25.0 if hour < 29 else 15.0) + 0.3 + 1e-9  # data sheet: 0.5 °C at most


def test_a_temperature_that_was_not_measured_widens_the_range_of_the_next_hour() -> None:
    known, guessed = WarmthBelief(), WarmthBelief()
    for belief in (known, guessed):
        for hour in range(30):
            belief.feed_stretch(stretch(hour, 20.0))
    known.feed_stretch(stretch(30, 20.0))
    guessed.feed_stretch(stretch(30, 20.0, 3.0))
    a, b = (found(belief.water_c_at(MONDAY + 31 * HOUR)) for belief in (known, guessed))
    assert b.p10 < a.p10 - 2.0
    assert b.p90 > a.p90 + 2.0


def test_cold_water_poured_in_is_no_cold_room() -> None:
    poured, left = Shelf(), Shelf()
    for shelf in (poured, left):
        shelf.live(2 * 24 + 15)
    poured.belief.feed_deed(Deed(poured.at, "cup", "top-up", 60.0))
    poured.water_c -= 2.5
    for shelf in (poured, left):
        shelf.live(2.0)
    a, b = (found(shelf.belief.coldest_next_16h()) for shelf in (poured, left))
    assert a.p50 == pytest.approx(b.p50, abs=0.4)


def test_a_longer_time_is_never_less_extreme() -> None:
    shelf = Shelf(0.9)
    shelf.live(30.0)
    now = shelf.at
    cold = [found(shelf.belief.coldest(now, now + h * HOUR)) for h in (1, 8, 16, 64, 160)]
    hot = [found(shelf.belief.hottest(now, now + h * HOUR)) for h in (1, 8, 16, 64, 160)]
    for series, sign in ((cold, -1.0), (hot, 1.0)):
        for middle in ("p10", "p50", "p90"):
            values = [sign * getattr(e, middle) for e in series]
            assert values == sorted(values)


def test_the_median_path_and_its_spread_agree_with_the_quantiles() -> None:
    shelf = Shelf()
    shelf.live(40.0)
    told = shelf.belief.median_and_sd_c(shelf.at + 9 * HOUR)
    assert told is not None
    night = found(shelf.belief.water_c_at(shelf.at + 9 * HOUR))
    assert told[0] == pytest.approx(night.p50, abs=0.2)
    # The quantiles have the probe's own 0.2 °C beside it.
    assert math.hypot(told[1], 0.2) == pytest.approx((night.p90 - night.p10) / 2.563, rel=0.2)


def test_asking_changes_nothing_and_a_copy_goes_its_own_way() -> None:
    asked, quiet = Shelf(0.9), Shelf(0.9)
    for _ in range(30):
        asked.live(1.0)
        quiet.live(1.0)
        asked.belief.hottest_next_16h()
        asked.belief.copy().feed_stretch(replace(stretch(0, 50.0), began=asked.at, ended=asked.at + CELL))
    assert asked.belief.coldest_next_16h() == quiet.belief.coldest_next_16h()


hostile = st.lists(
    st.tuples(
        st.integers(0, 300_000),
        st.integers(60, 3600),
        st.floats(-5.0, 60.0),
        st.one_of(st.none(), st.floats(-20.0, 60.0)),
        st.one_of(st.none(), st.floats(0.0, 1000.0)),
        st.booleans(),
    ),
    min_size=1,
    max_size=60,
)


@given(hostile)
@settings(max_examples=40, deadline=None)
def test_whatever_is_fed_the_quantiles_are_finite_and_in_order(
    some: list[tuple[int, int, float, float | None, float | None, bool]],
) -> None:
    belief, at = WarmthBelief(250.0, Lamp(), has_lamp=True), MONDAY
    for gap, length, water_c, room_c, light, filled in some:
        began = at + gap
        at = min(began + length, (began // HOUR + 1) * HOUR)
        margin = 2.0 if filled else 0.0
        seen = Stretch(began, at, water_c, water_c - margin, water_c + margin, room_c, None, light)
        belief.feed_stretch(seen)
    for told in (
        belief.coldest(at, at + 64 * HOUR),
        belief.hottest(at, at + 64 * HOUR),
        belief.water_c_at(at + 9 * HOUR),
    ):
        estimate = found(told)
        assert all(math.isfinite(v) for v in (estimate.p10, estimate.p50, estimate.p90))
        assert estimate.p10 <= estimate.p50 <= estimate.p90
        assert estimate.p10 > -120.0
        assert estimate.p90 < 140.0
    assert math.isfinite(belief.heat.tau_h)
    assert 0.0 <= belief.heat.rise_k <= 15.0


# By hand: water that falls by 1 K an hour in a cup of 1.2 h is surrounded by what is 1.2 K colder than it.
def falling(hours: float, *, skip: tuple[float, float] = (-1.0, -1.0), per_h: float = -1.0) -> WarmthBelief:
    """Five minutes after five minutes from Tuesday noon on, but for some hours of silence."""
    belief = WarmthBelief(250.0, PlainCalendar())
    for step in range(round(hours * 12)):
        if not skip[0] <= step / 12 < skip[1]:
            began = MONDAY + 36 * HOUR + 300 * step
            water_c = 24.0 + per_h * (step + 0.5) / 12
            belief.feed_stretch(Stretch(began, began + 300, water_c, water_c, water_c, None, None))
    return belief


def begins(belief: WarmthBelief, hours: float) -> Now:
    found = belief.forecast(MONDAY + 36 * HOUR + round((hours + 1) * HOUR))
    assert found is not None
    return found._now


@pytest.mark.parametrize("hours", [4.0, 6.5])
def test_a_forecast_begins_with_what_surrounds_the_cup_and_how_that_moved_lately(hours: float) -> None:
    now = begins(falling(hours), hours)
    assert now.water_c == pytest.approx(24.0 - hours, abs=0.1)
    mean_since_h = hours % 1 or 1.0
    assert now.around_c == pytest.approx(24.0 - hours + mean_since_h / 2 - 1.2, abs=0.15)
    assert now.slope_k_per_h == pytest.approx(-1.0, abs=0.15)
    assert -1.0 < now.trend_k_per_h < 0.5, "the pattern moves too"
    assert (now.margin_c, now.lit, now.dark) == (0.0, 0.0, False)


def test_one_hour_tells_no_movement_and_neither_do_hours_too_far_apart() -> None:
    assert begins(falling(0.9), 0.9).slope_k_per_h == 0.0
    assert begins(falling(8.0, skip=(2.0, 6.4)), 8.0).slope_k_per_h == 0.0
    assert begins(falling(6.0, skip=(2.0, 3.0)), 6.0).slope_k_per_h == pytest.approx(-1.0, abs=0.2)
    assert begins(falling(6.0, skip=(2.0, 4.0)), 6.0).slope_k_per_h == 0.0


def test_movement_is_that_of_the_last_two_hours() -> None:
    belief = falling(6.0)
    for step in range(36):
        began = MONDAY + 42 * HOUR + 300 * step
        belief.feed_stretch(Stretch(began, began + 300, 18.0, 18.0, 18.0, None, None))
    assert begins(belief, 9.0).slope_k_per_h == pytest.approx(0.0, abs=0.05)


def test_what_is_known_of_a_cup_is_told_with_its_range() -> None:
    known = WarmthBelief(250.0, PlainCalendar(), has_lamp=True).knowns()
    assert known["time_constant_h"] == Estimate(*[pytest.approx(1.2)] * 3)
    assert known["lamp_rise_k"] == Estimate(
        *(pytest.approx(4.0 + z * 2.4) for z in (-1.2815516, 0.0, 1.2815516))
    )
    assert known["offset_k"] == Estimate(
        *(pytest.approx(-1.0 + z * 0.9) for z in (-1.2815516, 0.0, 1.2815516))
    )


# The air's offset is learned by night, from six in the evening to eight: then no sun falsifies it.
@pytest.mark.parametrize(("hour", "learns"), [(17, False), (18, True), (7, True), (8, False)])
def test_the_offset_is_learned_between_six_in_the_evening_and_eight(hour: int, learns: bool) -> None:
    belief = WarmthBelief(250.0, PlainCalendar())
    for step in range(13):
        began = MONDAY + hour * HOUR + 300 * step
        belief.feed_stretch(Stretch(began, began + 300, 22.0, 22.0, 22.0, 20.0, None))
    assert (belief.heat.offset_k > -0.9) is learns
