"""What a tin comes to: ranges combined over the whole of what is believed, against draws and the handbook."""

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.config import parse_station
from daemon.estimates.hatch.hatchable_share import shares
from daemon.estimates.quantile import Estimate
from daemon.planning.lot_share import of_test
from daemon.planning.tin_test import TinTest
from daemon.planning.tin_yield import TinYield, any_tin, given_tin, tin_of
from daemon.science.strains import UNKNOWN
from daemon.science.valid_range import OutOfRange
from tests.kit.recordings import unix
from tests.kit.station import station_text

tins = st.builds(given_tin, st.just(0.0), st.floats(150_000, 400_000), st.floats(0.05, 0.95))


def test_the_middle_gram_holds_cysts_as_published_and_hatches_as_a_good_product_does() -> None:
    """3.64 µg a cyst, 275,000 a gram (Clegg 1974 [R, C]); 252,678 (Eslava-Eljaiek et al. 2011 [R])."""
    found = any_tin().cysts_of(1.0)
    assert found.p10 < 252_678 < found.p90
    assert found.p10 < 275_000 < found.p90
    # Good product gives 200,000–300,000 nauplii a gram (Treece 2000, SRAC 702 [R]): at nine in ten hatching.
    good = given_tin(0.0, None, 0.9).animals_of_g(1.0)
    assert 200_000 < good.p50 < 300_000


def test_share_times_cysts_a_gram_agrees_with_the_efficiency_that_was_reported() -> None:
    """252,678 a gram of which 66 % hatch: 166,767; reported 165,270 nauplii a gram (Intropica 6:101 [R])."""
    found = given_tin(0.0, 252_678.0, 0.66).animals_of_g(1.0)
    assert found.p50 == pytest.approx(166_767, rel=0.02)
    assert found.p10 < 165_270 < found.p90


def test_a_pinch_is_a_third_to_three_times_20000() -> None:
    """Handbook [P]."""
    tin = TinYield(250_000.0, 1e-9, any_tin().weights)
    pinch = tin.g_of_pinches(1.0)
    assert [round(g * 250_000) for g in (pinch.p10, pinch.p50, pinch.p90)] == [6667, 20_000, 60_000]


def quantiles(drawn: list[float]) -> Estimate:
    drawn.sort()
    return Estimate(*(drawn[int(share * len(drawn))] for share in (0.1, 0.5, 0.9)))


def test_ranges_are_those_of_draws_and_narrower_than_the_product_of_the_ends() -> None:
    chance, tin = Random(1), given_tin(0.0, None, 0.6)
    drawn = [
        0.05
        * 250_000.0
        * chance.lognormvariate(0.0, tin.cysts_ln_sd)
        * (chance.choices(shares(), tin.weights)[0] + chance.uniform(-0.0125, 0.0125))
        for _ in range(20_000)
    ]
    expected, found = quantiles(drawn), tin.animals_of_g(0.05)
    for one, other in zip(
        (found.p10, found.p50, found.p90), (expected.p10, expected.p50, expected.p90), strict=True
    ):
        assert one == pytest.approx(other, rel=0.03)
    cysts, share = tin.cysts_of(0.05), given_tin(0.0, None, 0.6).animals_of_counted(1e9)
    ends = cysts.p90 * share.p90 / 1e9 - cysts.p10 * share.p10 / 1e9
    assert found.p90 - found.p10 < 0.85 * ends


def test_few_counted_cysts_scatter_by_chance_as_the_binomial_does() -> None:
    chance, tin = Random(2), given_tin(0.0, None, 0.8)
    drawn = []
    for _ in range(4000):
        share = chance.choices(shares(), tin.weights)[0]
        drawn.append(float(sum(chance.random() < share for _ in range(50))))
    expected, found = quantiles(drawn), tin.animals_of_counted(50.0)
    assert found.p10 == pytest.approx(expected.p10, abs=1.5)
    assert found.p50 == pytest.approx(expected.p50, abs=1.0)
    assert found.p90 == pytest.approx(expected.p90, abs=1.5)


@given(tins, st.floats(20.0, 1e6))
def test_the_grams_for_wanted_animals_give_them_in_the_middle(tin: TinYield, animals: float) -> None:
    grams = tin.g_for_animals(animals)
    assert tin.animals_of_g(grams.p50).p50 == pytest.approx(animals, rel=0.05)
    # The sure gram gives at least so many nine times in ten.
    assert tin.animals_of_g(grams.p90).p10 == pytest.approx(animals, rel=0.05)


@given(tins, st.floats(1e-4, 100.0))
def test_a_range_is_in_order_and_grows_with_the_grams(tin: TinYield, grams: float) -> None:
    found, more = tin.animals_of_g(grams), tin.animals_of_g(2.0 * grams)
    assert 0.0 < found.p10 < found.p50 < found.p90
    assert more.p50 > found.p50


def test_an_untested_tin_is_less_sure_than_a_tested_one_and_an_old_one_less_still() -> None:
    def width(tin: TinYield) -> float:
        found = tin.animals_of_g(0.05)
        return found.p90 / found.p10

    assert width(given_tin(0.0, None, 0.79)) < width(any_tin()) < width(any_tin(opened_days=1000.0))


def test_a_share_or_number_that_no_tin_has_is_refused() -> None:
    for some in ((None, 1.0), (None, 0.0), (90_000.0, None), (None, float("nan"))):
        with pytest.raises(OutOfRange):
            given_tin(0.0, *some)


def test_the_station_file_says_since_when_a_tin_is_open() -> None:
    told = station_text() + '\n[[lot]]\nid = "spring"\nopened = 2025-01-10\n'
    station = parse_station(told, "station.toml")
    at = unix("2027-01-10T12:00:00+00:00")
    assert tin_of(station, "spring", at, None, None) == any_tin(opened_days=730.0)
    assert tin_of(station, "other", at, None, None) == tin_of(None, "spring", at, None, None) == any_tin()


def test_the_station_file_says_how_many_cysts_a_gram_has_and_what_is_asked_goes_before_it() -> None:
    told = station_text() + '\n[[lot]]\nid = "spring"\ncysts_per_g = 300000\n'
    station = parse_station(told, "station.toml")
    assert tin_of(station, "spring", 0, None, None) == given_tin(0.0, 300_000.0, None)
    assert tin_of(station, "spring", 0, 260_000.0, None) == given_tin(0.0, 260_000.0, None)
    assert tin_of(station, "other", 0, None, None) == any_tin()


def test_what_was_counted_of_a_tin_says_what_it_comes_to_unless_a_share_is_asked_for() -> None:
    """120 of 200 in a kept test of two days: grams for 200 animals lie about 200/0.6 cysts."""
    at = 1_800_000_000
    counted = [of_test(TinTest(200, 120, 48.0, 25.0), UNKNOWN, at)]
    found = tin_of(None, "spring", at, None, None, counted)
    cysts = found.g_for_animals(200.0).p50 * found.cysts_per_g
    assert cysts == pytest.approx(200 / 0.6, rel=0.1)
    near, far = found.animals_of_g(0.05), any_tin().animals_of_g(0.05)
    assert near.p90 / near.p10 < far.p90 / far.p10
    assert tin_of(None, "spring", at, None, 0.9, counted) == given_tin(0.0, None, 0.9)
