"""Treatments and doses by model: against statsmodels, published seeds, limiting cases, simulated cups."""

import random
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.planning.experiment.drawn_cups import drawn_cup
from daemon.science.quasi_binomial import DosedCup, dose_slope, treatments_test
from daemon.science.replicate_cups import Cup
from daemon.science.valid_range import OutOfRange
from tests.kit.counted_cups import CLASS, crowders_plates

# Four doses, three cups each: ours, made up.
DOSED: list[DosedCup] = [
    *((0, 45, 50), (0, 41, 50), (0, 47, 50), (20, 40, 50), (20, 33, 48), (20, 42, 50)),
    *((40, 21, 50), (40, 30, 50), (40, 26, 52), (80, 6, 50), (80, 2, 50), (80, 9, 45)),
]


# The class of the issue (synthetic) [C there]: quasi-binomial F(2, 9) 40.89. statsmodels 0.15.0 [C]: deviance
# 11.851917 on 9, scale 1.318950, F 40.890445, p 3.0417e-5. (GLM of shares with `var_weights` = cysts and
# scale="X2": of pairs hatched and not, it takes its scale from the shares without their weights.)
def test_the_class_of_three_levels_has_the_computed_f() -> None:
    found = treatments_test(CLASS)
    assert (found.degrees, found.within_degrees) == (2, 9)
    assert found.f == pytest.approx(40.890444880, rel=1e-9)
    assert found.dispersion == pytest.approx(1.318949938, rel=1e-9)
    assert found.p == pytest.approx(3.04169969938e-5, rel=1e-9)


# Crowder's seeds: handbook [R] dispersion 1.862 on 17; F and p by statsmodels 0.15.0 as above [C].
def test_crowders_plates_differ_as_statsmodels_has_it() -> None:
    found = treatments_test(crowders_plates())
    assert found.within_degrees == 17
    assert found.dispersion == pytest.approx(1.862, abs=0.0005)
    assert found.f == pytest.approx(11.716357742845, rel=1e-9)
    assert found.p == pytest.approx(2.10300972376e-4, rel=1e-8)


# statsmodels 0.15.0 as above, interval by Student's t with 10 degrees [C].
@pytest.mark.parametrize(
    ("cups", "slope", "low", "high", "dispersion"),
    [
        (DOSED, -0.0524045113349, -0.0649337784346, -0.0398752442352, 1.71744944109),
        (
            [(dose, y, n) for dose, cups in zip((10, 30, 60), CLASS, strict=True) for y, n in cups],
            *(-0.0337777836976, -0.0557012896735, -0.0118542777218, 5.16971536038),
        ),
    ],
)
def test_a_slope_is_that_of_statsmodels(
    cups: list[DosedCup], slope: float, low: float, high: float, dispersion: float
) -> None:
    found = dose_slope(cups)
    assert found is not None
    assert (found.per_unit, found.low, found.high) == pytest.approx((slope, low, high), rel=1e-9)
    assert found.dispersion == pytest.approx(dispersion, rel=1e-9)
    assert found.degrees == 10


@given(st.floats(-50.0, 50.0), st.floats(0.01, 100.0))
@settings(max_examples=30)
def test_a_slope_does_not_care_where_doses_begin_and_goes_with_their_unit(begin: float, unit: float) -> None:
    found, moved = dose_slope(DOSED), dose_slope([(begin + unit * d, y, n) for d, y, n in DOSED])
    assert found is not None
    assert moved is not None
    assert moved.per_unit * unit == pytest.approx(found.per_unit, rel=1e-6)
    assert moved.low * unit == pytest.approx(found.low, rel=1e-6)


def test_a_slope_of_those_that_did_not_hatch_is_the_same_downwards() -> None:
    found, turned = dose_slope(DOSED), dose_slope([(d, n - y, n) for d, y, n in DOSED])
    assert found is not None
    assert turned is not None
    assert (turned.per_unit, turned.low, turned.high) == pytest.approx(
        (-found.per_unit, -found.high, -found.low), rel=1e-9
    )


# Albert & Anderson 1984 [M]: separated counts have no highest likelihood.
@pytest.mark.parametrize(
    "cups",
    [
        [(1, 0, 9), (2, 0, 9), (3, 9, 9)],
        [(1, 0, 9), (2, 4, 9), (3, 9, 9)],
        [(1, 0, 9), (2, 0, 9), (3, 0, 9)],
        [(1, 50, 50), (2, 50, 50), (3, 50, 50)],
    ],
)
def test_where_no_line_fits_best_there_is_no_slope(cups: list[DosedCup]) -> None:
    assert dose_slope(cups) is None


cup = st.integers(1, 200).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of)))


@given(st.lists(st.lists(cup, min_size=2, max_size=6), min_size=2, max_size=5))
@settings(deadline=None)
def test_a_p_is_a_chance_and_does_not_care_for_the_order_of_levels(levels: list[list[Cup]]) -> None:
    found, turned = treatments_test(levels), treatments_test(levels[::-1])
    assert 0.0 <= found.p <= 1.0
    assert found.dispersion >= 1.0
    assert found.p == pytest.approx(turned.p, rel=1e-6)


@given(st.lists(st.tuples(st.integers(0, 6), cup), min_size=3, max_size=12))
@settings(deadline=None)
def test_a_slope_lies_in_its_interval_whatever_was_counted(cups: list[tuple[int, Cup]]) -> None:
    if len({dose for dose, _ in cups}) > 1:
        found = dose_slope([(float(dose), *count) for dose, count in cups])
        assert found is None or found.low <= found.per_unit <= found.high


def test_levels_alike_show_nothing() -> None:
    assert treatments_test([[(5, 10), (5, 10)], [(5, 10), (5, 10)]]).p == 1.0
    assert treatments_test([[(0, 10), (0, 10)], [(0, 10), (0, 10)]]).p == 1.0


# Cups that look alike by luck do not make a difference sure: binomial at least.
def test_luck_does_not_sharpen_the_test() -> None:
    assert treatments_test([[(25, 50)] * 3, [(28, 50)] * 3]).p > 0.2


# 1,000 experiments in which no level mattered, cups beta-binomial of 50 with dispersion 1.9 (seeded; one
# standard error 0.7 %): "5 %" must mean at most about that.
@pytest.mark.parametrize(("levels", "cups", "share"), [(3, 5, 0.7), (2, 5, 0.5), (4, 6, 0.9), (3, 5, 0.95)])
def test_five_in_a_hundred_experiments_without_effect_look_like_one(
    levels: int, cups: int, share: float
) -> None:
    chance, experiments = random.Random(f"{levels}/{cups}"), 1000
    rejected = sum(treatments_test(_alike(chance, levels, cups, share)).p <= 0.05 for _ in range(experiments))
    print(f"{levels} levels of {cups} cups, share {share}: {rejected / experiments:.3f} rejected")  # noqa: T201
    assert rejected / experiments <= 0.08


def _alike(chance: random.Random, levels: int, cups: int, share: float) -> Sequence[Sequence[Cup]]:
    return [[(drawn_cup(chance, 50, share, 1.9), 50) for _ in range(cups)] for _ in range(levels)]


@pytest.mark.parametrize(
    "asked",
    [
        lambda: treatments_test([[(1, 2), (1, 2)]]),
        lambda: treatments_test([[(1, 2)], [(1, 2)]]),
        lambda: dose_slope([(1.0, 1, 2), (2.0, 1, 2)]),
        lambda: dose_slope([(1.0, 1, 2), (1.0, 1, 2), (1.0, 2, 2)]),
    ],
)
def test_what_cannot_be_fitted_is_refused(asked: object) -> None:
    with pytest.raises(OutOfRange, match="allowed is"):
        asked()  # type: ignore[operator]
