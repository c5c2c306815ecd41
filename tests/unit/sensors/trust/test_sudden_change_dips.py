"""Back in the water: half a degree or more, all at once, and calm before and after."""

import pytest

from sensors.trust.room_lag import Sample
from sensors.trust.sudden_change import at_rest, dipped_at


def track(*water_c: float) -> list[Sample]:
    """A sample a minute."""
    return [Sample(60 * minute, value) for minute, value in enumerate(water_c)]


# docs/explanation/trust.md: "a change of half a degree or more that is there at once".
@pytest.mark.parametrize(("step_k", "seen"), [(0.5, 180), (-0.5, 180), (0.4375, None), (4.0, 180)])
def test_half_a_degree_at_once_is_a_dip_and_less_is_none(step_k: float, seen: int | None) -> None:
    assert dipped_at(track(*[20.0] * 3, *[20.0 + step_k] * 5)) == seen


def test_a_dip_is_seen_once_four_readings_have_followed_it() -> None:
    readings = track(*[20.0] * 6, *[24.0] * 9)
    assert next(n for n in range(16) if dipped_at(readings[:n])) == 11
    assert dipped_at(readings[:11]) == 360
    assert dipped_at(readings) is None


def test_fewer_than_eight_readings_are_too_few() -> None:
    assert dipped_at(track(*[20.0] * 2, *[24.0] * 5)) is None


# A tenth of a degree is noise; beyond that, a third of the change (as little as that of a slow last part).
@pytest.mark.parametrize(
    ("readings", "seen"),
    [
        ((30.0, 20.0, 21.25, 25.0, 25.0, 25.0, 25.0, 25.0), None),  # 1.25 before, of 3.75: 1.225 is calm
        ((30.0, 20.0, 21.125, 25.0, 25.0, 25.0, 25.0, 25.0), 180),
        ((20.0, 20.0, 20.0, 24.0, 24.0, 24.0, 24.0, 25.3125), None),  # 1.3125 after, of 4: 1.3 is calm
        ((20.0, 20.0, 20.0, 24.0, 22.75, 24.0, 24.0, 25.25), 180),
        ((20.0, 20.0, 20.0, 20.5, 20.4375, 20.5, 20.5, 20.5), 180),
        ((20.0, 20.0, 20.0, 24.0, 22.6875, 24.0, 24.0, 24.0), None),
        ((30.0, 20.0, 20.0, 24.0, 24.0, 24.0, 24.0, 24.0), 180),  # what was before is past
    ],
)
def test_a_dip_has_calm_before_and_after_it(readings: tuple[float, ...], seen: int | None) -> None:
    assert dipped_at(track(*readings)) == seen


# Where a reading fell into the dipping, only a degree or more with a tenth of calm tells it from a bare
# probe's own slow change.
@pytest.mark.parametrize(
    ("readings", "seen"),
    [
        ((20.0, 20.0, 20.5625, 21.0, 21.0, 21.0, 21.0, 21.0), 180),
        ((20.0, 20.0, 20.5625, 20.9375, 20.9375, 20.9375, 20.9375, 20.9375), None),
        ((20.0, 20.0, 22.0, 24.0, 24.4375, 24.0, 24.0, 24.0), 180),
        ((20.0, 20.0, 22.0, 24.0, 24.5625, 24.0, 24.0, 24.0), None),
        ((20.0, 20.625, 22.0, 24.0, 24.0, 24.0, 24.0, 24.0), None),
    ],
)
def test_a_dip_into_which_a_reading_fell_is_one_of_a_degree_or_more(
    readings: tuple[float, ...], seen: int | None
) -> None:
    assert dipped_at(track(*readings)) == seen


# Second differences of readings that go up and down by a are 4a: 0.0576 K² over 16 is 0.06 K of noise.
@pytest.mark.parametrize(("noise_k", "rests"), [(0.0, True), (0.03, True), (0.031, False), (0.5, False)])
def test_a_probe_rests_while_only_its_own_noise_moves_it(noise_k: float, rests: bool) -> None:
    readings = [24.0 + minute * 0.01 + noise_k * (-1) ** minute for minute in range(12)]
    assert at_rest(track(*readings)) is rests


def test_of_fewer_than_twelve_readings_nobody_knows_whether_it_rests() -> None:
    assert not at_rest(track(*[24.0] * 11))
    assert at_rest(track(*[24.0] * 12))
