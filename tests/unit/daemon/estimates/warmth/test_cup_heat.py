"""A cup as a lump, learned from steps of its lamp: half hours computed from the differential equation."""

from math import exp, log, sqrt

import pytest
from scipy import stats

from daemon.estimates.warmth.cup_heat import CupHeat, CupHeatBelief, HalfHour, surroundings_c

BEGAN = 1_800_000_000


def half_hours_of(
    tau_h: float,
    rise_k: float,
    hours: float,
    *,
    room_c: float | None = 20.0,
    offset_k: float = -1.0,
    lit_from_h: float = 2.0,
) -> list[HalfHour]:
    """Half hours of a cup in a steady room whose lamp is switched on, then off four hours later."""
    found, water_c = [], 20.0 + offset_k
    for place in range(round(2 * hours)):
        lit = 1.0 if lit_from_h <= place / 2 < lit_from_h + 4 else 0.0
        settles_c = 20.0 + offset_k + rise_k * lit
        after_c = settles_c + (water_c - settles_c) * exp(-0.5 / tau_h)
        mean_c = settles_c + (water_c - settles_c) * tau_h / 0.5 * (1 - exp(-0.5 / tau_h))
        found.append(HalfHour(BEGAN + 1800 * place, 0.5, mean_c, (after_c - water_c) / 0.5, lit, room_c))
        water_c = after_c
    return found


def learned(some: list[HalfHour], *, volume_ml: float = 250.0, night: bool = True) -> CupHeat:
    belief = CupHeatBelief(volume_ml, has_lamp=True)
    for half_hour in some:
        belief.feed(half_hour, night=night)
    return belief.heat


# Handbook: 1.2 h for 250 mL and 2.4 h for 2 L [C]; a lamp's rise of 4 ± 2.4 K, an offset of −1 ± 0.8 K [P].
def test_a_cup_begins_as_the_handbook_has_it() -> None:
    heat = CupHeatBelief(250.0, has_lamp=True).heat
    assert heat == CupHeat(
        pytest.approx(1.2), pytest.approx(4.0), pytest.approx(2.4), -1.0, pytest.approx(0.9)
    )
    assert CupHeatBelief(2000.0, has_lamp=True).heat.tau_h == pytest.approx(2.4)
    dark = CupHeatBelief(250.0, has_lamp=False).heat
    assert (dark.rise_k, dark.rise_sd_k) == (0.0, 0.0)


@pytest.mark.parametrize("room_c", [20.0, None])
@pytest.mark.parametrize("tau_h", [0.8, 1.2, 1.9])
@pytest.mark.parametrize("rise_k", [4.0, 6.5])
def test_a_few_steps_of_the_lamp_tell_its_rise_and_the_time_constant(
    tau_h: float, rise_k: float, room_c: float | None
) -> None:
    heat = learned(
        [one for day in range(3) for one in _later(half_hours_of(tau_h, rise_k, 24, room_c=room_c), day)]
    )
    assert heat.rise_k == pytest.approx(rise_k, abs=1.0)
    assert heat.tau_h == pytest.approx(tau_h, rel=0.25)
    assert heat.rise_sd_k < 1.2


def _later(some: list[HalfHour], days: int) -> list[HalfHour]:
    return [
        HalfHour(c.began + 86_400 * days, *(c.hours, c.water_c, c.slope_k_per_h, c.lit, c.room_c))
        for c in some
    ]


# The mean of what was seen, with the first guess counting as six: −1 at first, +1.5 seen n times.
def test_the_offset_goes_to_what_is_seen_by_night_and_nothing_is_learned_of_it_by_day() -> None:
    still = [HalfHour(BEGAN + 3600 * n, 0.5, 21.5, 0.0, 0.0, 20.0) for n in range(12)]
    kept = 1.0 - 1.0 / (48 * 21)
    offset_k, count = -1.0, 0.0
    for _ in still:
        count = count * kept + 1.0
        offset_k += (1.5 - offset_k) / (count + 6.0)
    heat = learned(still)
    assert heat.offset_k == pytest.approx(offset_k)
    assert heat.offset_sd_k == pytest.approx(0.8 * sqrt(6.0 / (6.0 + count)) + 0.1)
    assert learned(still, night=False).offset_k == -1.0
    assert learned([HalfHour(c.began, 0.5, 21.5, 0.0, 0.0, None) for c in still]).offset_k == -1.0


def test_what_surrounds_a_cup_is_its_water_with_its_slope_less_its_lamp() -> None:
    heat = CupHeat(1.5, 4.0, 1.0, -1.0, 0.5)
    assert surroundings_c(HalfHour(BEGAN, 0.5, 22.0, -2.0, 0.25, None), heat) == pytest.approx(
        22.0 - 3.0 - 1.0
    )


# By hand, for the middle time constant alone: the rise is a normal (4, 2.4²); the lamp comes on wholly and
# what surrounds the cup changes by 5 K; the noise is 0.7 K at a step without a room probe (0.15 with one),
# and 0.03 K of reading times τ over the half hour; a Student t of 4 degrees lets a large miss pass in part.
@pytest.mark.parametrize(("room_c", "noise_k"), [(None, 0.7), (20.0, 0.15)])
def test_a_step_moves_the_rise_by_its_precision(room_c: float | None, noise_k: float) -> None:
    belief = CupHeatBelief(250.0, has_lamp=True)
    belief.feed(HalfHour(BEGAN, 0.5, 19.0, 0.0, 0.0, room_c), night=False)
    belief.feed(HalfHour(BEGAN + 1800, 0.5, 24.0, 0.0, 1.0, room_c), night=False)
    middle = belief._guesses[4]
    assert middle.tau_h == pytest.approx(1.2)
    noise = noise_k**2 + (0.03 * 1.2 / 0.5) ** 2
    spread = noise + 2.4**2
    odd = 1.0 + 1.0 / (4.0 * spread)
    gain = 2.4**2 / (noise * odd + 2.4**2)
    assert middle.rise_k == pytest.approx(4.0 + gain * 1.0)
    assert middle.rise_var == pytest.approx(2.4**2 * (1.0 - gain))


# How likely a change is under a time constant: Student's t, stretched by τ; neighbouring changes count half,
# and what was learned fades within three weeks of half hours.
def test_time_constants_are_weighed_by_students_t() -> None:
    belief = CupHeatBelief(250.0, has_lamp=True)
    belief.feed(HalfHour(BEGAN, 0.5, 19.0, 0.0, 0.0, 20.0), night=False)
    belief.feed(HalfHour(BEGAN + 1800, 0.5, 20.5, 2.0, 1.0, 20.0), night=False)
    prior = [-0.5 * (0.25 * step / 0.35) ** 2 for step in range(-4, 5)]
    found = []
    for step, before in zip(range(-4, 5), prior, strict=True):
        tau_h = 1.2 * exp(0.25 * step)
        scale = sqrt(0.15**2 + (0.03 * tau_h / 0.5) ** 2 + 2.4**2)
        density = log(stats.t.pdf(1.5 + tau_h * 2.0 - 4.0, df=4, scale=scale) * tau_h)
        found.append(before + 0.5 * density)
    kept = 1.0 - 1.0 / (48 * 21)
    top = max(found)
    expected = [before + kept * (weight - top - before) for weight, before in zip(found, prior, strict=True)]
    assert [guess.log_weight for guess in belief._guesses] == pytest.approx(expected)


# "In the four hours after each step of the lamp": without a step the room moves the water and hides τ.
@pytest.mark.parametrize(("half_hours", "learns"), [(7, True), (8, False)])
def test_only_the_four_hours_after_a_step_teach(half_hours: int, learns: bool) -> None:
    belief = CupHeatBelief(250.0, has_lamp=True)
    belief.feed(HalfHour(BEGAN, 0.5, 20.0, 0.0, 0.0, None), night=False)
    for place in range(1, half_hours + 1):
        belief.feed(HalfHour(BEGAN + 1800 * place, 0.5, 20.0, 0.0, 1.0, None), night=False)
    before = belief.copy().heat
    belief.feed(HalfHour(BEGAN + 1800 * (half_hours + 1), 0.5, 20.0, 4.0, 1.0, None), night=False)
    assert (belief.heat != before) is learns


def test_half_hours_that_do_not_follow_each_other_are_not_compared() -> None:
    belief = CupHeatBelief(250.0, has_lamp=True)
    before = belief.heat
    belief.feed(HalfHour(BEGAN, 0.5, 19.0, 0.0, 0.0, None), night=False)
    belief.feed(HalfHour(BEGAN + 3600, 0.5, 24.0, 0.0, 1.0, None), night=False)
    assert belief.heat == before


def test_no_lamp_lifts_a_cup_by_more_than_fifteen_degrees_or_less_than_none() -> None:
    for rise_k, held in ((40.0, 15.0), (-12.0, 0.0)):
        some = [one for day in range(4) for one in _later(half_hours_of(1.2, rise_k, 24), day)]
        assert learned(some).rise_k == pytest.approx(held, abs=0.3)
