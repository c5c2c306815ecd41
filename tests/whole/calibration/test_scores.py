"""What the bench measures with: the score, the rules of thumb, and what befalls cups and rooms."""

from itertools import pairwise
from statistics import fmean, stdev

import psychrolib
import pytest
from scipy import integrate, stats

from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from tests.kit.other_physics import DAY, HOUR, JUMPS_PER_DAY, MONDAY, NEVER, Cone, Cup, Room
from tests.kit.scores import pinball, score, skill
from tests.kit.simple_rules import Guess, RulesOfThumb
from tests.kit.station import tray
from tests.kit.weekends import FAILED_H, SIZE, Record, heating_failed


def record(believed: Estimate, truth: float, *rules: Guess) -> Record:
    return Record(0, 0, False, 0, "loss_ml", believed, truth, rules)


# The score ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("stretched", [1.0, 0.5, 2.0])
def test_no_range_scores_better_than_the_truths_own_quantiles(stretched: float) -> None:
    """Against scipy: of a normal the mean loss at its quantile q is σ·φ(z_q); other ranges lose more."""
    normal = stats.norm(10.0, 2.0)
    ends = [10.0 + stretched * (normal.ppf(q) - 10.0) for q in (0.1, 0.5, 0.9)]
    mean, _ = integrate.quad(lambda x: pinball(*ends, x) * normal.pdf(x), -10.0, 30.0, limit=200)
    least = 2.0 * fmean(stats.norm.pdf(stats.norm.ppf(q)) for q in (0.1, 0.5, 0.9))
    assert mean == pytest.approx(least, rel=1e-6) if stretched == 1.0 else mean > 1.02 * least


def test_a_single_number_scores_half_of_how_far_it_was_off() -> None:
    assert pinball(12.0, 12.0, 12.0, 10.0) == pytest.approx(1.0)
    assert pinball(12.0, 12.0, 12.0, 16.0) == pytest.approx(2.0)


def test_skill_is_1_where_the_truth_is_known_and_0_where_the_rule_was_said_with_its_range() -> None:
    truths = [10.0 * n for n in range(1, 12)]
    known = [record(Estimate(t, t, t), t, Guess(60.0)) for t in truths]
    assert skill(known) == 1.0
    # Of 60 in eleven truths from 10 to 110 a tenth lies below 20 and above 100.
    as_the_rule = [record(Estimate(20.0, 60.0, 100.0), t, Guess(60.0)) for t in truths]
    assert skill(as_the_rule) == pytest.approx(0.0)
    assert skill([record(Estimate(1.0, 2.0, 3.0), 2.0)]) is None


def test_of_two_rules_the_better_one_has_to_be_beaten() -> None:
    truths = [10.0, 20.0, 30.0]
    told = [record(Estimate(t - 1.0, t, t + 1.0), t, Guess(1e4, None), Guess(20.0, None)) for t in truths]
    against_the_better = [record(Estimate(t - 1.0, t, t + 1.0), t, Guess(20.0, None)) for t in truths]
    assert skill(told) == skill(against_the_better)
    assert score(told) == pytest.approx(fmean((0.1, 0.0, 0.1)))


# The rules ----------------------------------------------------------------------------------------------


def ruled(*deeds: Deed, water_c: float = 25.0, hours: int = 48) -> RulesOfThumb:
    rules = RulesOfThumb(tray(low_ml=40.0))
    rest = sorted(deeds, key=lambda deed: deed.at)
    for at in range(MONDAY, MONDAY + hours * HOUR + 1, 600):
        while rest and rest[0].at <= at:
            rules.hear(rest.pop(0))
        rules.read(at, water_c - (4.0 if at % DAY < 6 * HOUR else 0.0))
    return rules


def test_before_a_top_up_it_is_ten_a_day_and_then_what_was_poured() -> None:
    begun = Deed(MONDAY, "cup", "set")
    at = MONDAY + 2 * DAY
    assert ruled(begun).say(at, at + DAY)["loss_ml"] == (Guess(20.0),)
    poured = ruled(begun, Deed(MONDAY + DAY, "cup", "top-up", 14.0, {"to": "mark"})).say(at, at + DAY)
    assert poured["loss_ml"] == (Guess(14.0),)
    assert poured["weekend_loss_ml"] == (Guess(28.0),)
    (low,) = poured["low_mark_at"]
    assert low.value == pytest.approx(MONDAY + DAY + 40.0 / 14.0 * DAY)


def test_a_hatch_takes_24_h_or_as_long_as_warmth_has_it() -> None:
    said = ruled(Deed(MONDAY + 6 * HOUR, "cup", "set"), hours=12).say(MONDAY + 12 * HOUR, MONDAY + 3 * DAY)
    plain, warm = said["hatch_t50"]
    assert plain.value == MONDAY + 30 * HOUR
    # 6 h at 25 °C are done; the last twelve hours were half 21 and half 25 °C: (9/13 + 1)/2 of the pace.
    assert warm.value == pytest.approx(MONDAY + (12.0 + 18.0 / (11.0 / 13.0)) * HOUR, abs=0.3 * HOUR)


def test_a_night_is_as_the_last_and_a_weekend_as_the_one_a_week_ago() -> None:
    rules, at = ruled(Deed(MONDAY, "cup", "set"), hours=40), MONDAY + 40 * HOUR  # Tuesday, 16:00
    assert rules.say(at, at + 64 * HOUR)["water_c_min_next_16h"] == (Guess(21.0, None),)
    assert rules.say(at, at + 64 * HOUR)["weekend_c_min"] == (Guess(21.0, None),)
    for at in range(MONDAY + 40 * HOUR + 600, MONDAY + 8 * DAY + 1, 600):
        rules.read(at, 24.0)  # no night was as cold as Tuesday's since
    at = MONDAY + 8 * DAY  # a week after that Tuesday's midnight
    assert rules.say(at, at + 5 * HOUR)["weekend_c_min"] == (Guess(21.0, None),)
    assert rules.say(at, at + 5 * HOUR)["water_c_min_next_16h"] == (Guess(24.0, None),)


# The world ----------------------------------------------------------------------------------------------


def test_bubbles_carry_off_what_saturated_air_holds_more_than_the_rooms() -> None:
    """Against psychrolib: a litre a minute at 26 °C in a room of 21 °C, some 23 mL a day."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    cone = Cone(5, Room(5, NEVER))
    room = cone._room
    room.air_c, room.vapour_pa, cone.water_c = 21.0, 1050.0, 26.0
    with_air = cone.evaporation_ml_per_h()
    cone.air_l_per_min, flow = 0.0, cone.air_l_per_min
    carried = with_air - cone.evaporation_ml_per_h()
    wet = cone._saturates * 0.986 * psychrolib.GetSatVapPres(26.0)
    g_per_m3 = 1000.0 / 461.5 * (wet / 299.15 - 1050.0 / 294.15)
    assert carried == pytest.approx(0.06 * flow * g_per_m3, rel=0.005)
    assert 17.0 < 24.0 * carried / flow < 25.0


def test_a_cup_jumps_about_once_in_forty_days() -> None:
    jumps = 0
    for seed in range(40):
        cup, before = Cup(seed, SIZE, Room(seed, NEVER)), 0.0
        for _ in range(40 * 24):
            before = cup._ln_factor
            cup._jump(JUMPS_PER_DAY / 24.0)
            jumps += cup._ln_factor != before
            assert abs(cup._ln_factor - before) <= 0.79
    assert 24 <= jumps <= 58  # 40 expected, a Poisson's 99 %


def test_weekends_differ_from_each_other() -> None:
    nights: list[float] = []
    for seed in range(30):
        room, cold = Room(seed, NEVER), {}
        if not (room.heated and room._set_back) or room._outside_mean_c > 6.0:
            continue
        for at in range(MONDAY, MONDAY + 21 * DAY, 600):
            room.live(at, 600)
            week, day = (at - MONDAY) // (7 * DAY), (at - MONDAY) // DAY % 7
            if day == 6:
                cold[week] = min(cold.get(week, 99.0), room.air_c)
        nights += [b - a for a, b in pairwise(cold.values())]
    assert len(nights) > 10
    assert 0.5 < stdev(nights) < 3.0


def test_a_heating_that_failed_leaves_the_room_to_the_weather() -> None:
    """Each hour that it is out longer the same cup is colder; a room without heating is not asked."""
    rooms = [heating_failed(seed) for seed in range(4)]
    asked = [records for records in rooms if records]
    assert all(records == [] or len(records) == len(FAILED_H) for records in rooms)
    assert len(asked) >= 2
    for seed in range(4):
        assert Room(seed).heated == bool(rooms[seed])
    assert fmean(r[-1].truth for r in asked) < fmean(r[0].truth for r in asked)
