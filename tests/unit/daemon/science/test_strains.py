"""Strain presets against the rows they were made from, and no narrower than those."""

import math
from dataclasses import replace
from statistics import NormalDist, geometric_mean

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from daemon.science import hatching, strains
from daemon.science.hatching import dose_at_share, hatched_share, pace, salinity_delay
from daemon.science.strains import (
    GREAT_SALT_LAKE,
    POZOS_COLORADOS,
    SAN_FRANCISCO_BAY,
    SINICA,
    STRAINS,
    UNKNOWN,
    Strain,
)
from daemon.science.valid_range import OutOfRange

presets = pytest.mark.parametrize("strain", STRAINS.values(), ids=STRAINS)


def t50_and_synchrony(water_c: float, salinity: float, first_h: float, t80_h: float) -> tuple[float, float]:
    """A lot's T50 at 25 °C and 25 g/kg and its synchrony, from its first nauplius (2 in 100) and T80."""
    z_first, z_80 = NormalDist().inv_cdf(0.02), NormalDist().inv_cdf(0.80)
    spread = math.log(t80_h / first_h) / (z_80 - z_first)
    t50_h = first_h * math.exp(-z_first * spread) * pace(water_c) / salinity_delay(salinity)
    return t50_h, 2.0 * math.sinh(NormalDist().inv_cdf(0.9) * spread)


# A literature compilation [R, secondary], San Francisco Bay at 35 g/kg: 20 °C 25/38 h, 24 °C 17/25 h; another
# lot, 24 °C, 10/38 h. Sorgeloos & Persoone 1975 [R, secondary]: longest 18 h at about 28 °C, at 25 or 35
# g/kg.
def test_san_francisco_bay_is_the_middle_of_its_three_lots() -> None:
    rows = [t50_and_synchrony(20.0, 35.0, 25.0, 38.0)[0], t50_and_synchrony(24.0, 35.0, 17.0, 25.0)[0]]
    other = t50_and_synchrony(24.0, 35.0, 10.0, 38.0)[0]
    longest = 18.0 * pace(28.0) / dose_at_share(0.95, 1.0, hatching.SYNCHRONY_MEDIAN)
    longest /= math.sqrt(salinity_delay(35.0))
    middle = geometric_mean([geometric_mean(rows), other, longest])
    assert SAN_FRANCISCO_BAY.t50_median_h == pytest.approx(middle, abs=0.1)


def test_san_francisco_bays_synchrony_reaches_from_the_one_lot_to_the_other() -> None:
    sharp = t50_and_synchrony(24.0, 35.0, 17.0, 25.0)[1]
    wide = t50_and_synchrony(24.0, 35.0, 10.0, 38.0)[1]
    middle = geometric_mean([sharp, wide, hatching.SYNCHRONY_MEDIAN])
    assert SAN_FRANCISCO_BAY.synchrony_median == pytest.approx(middle, abs=0.02)
    assert SAN_FRANCISCO_BAY.synchrony(0.05) < sharp < wide < SAN_FRANCISCO_BAY.synchrony(0.95)


# Its own rows, both lots: the preset's 90 % range of the share hatched at a published hour holds what was
# seen.
@pytest.mark.parametrize(
    ("water_c", "t0_h", "t80_h"), [(20.0, 25.0, 38.0), (24.0, 17.0, 25.0), (24.0, 10.0, 38.0)]
)
def test_each_lot_of_san_francisco_bay_lies_within_the_preset(
    water_c: float, t0_h: float, t80_h: float
) -> None:
    t50_h, _ = t50_and_synchrony(water_c, 35.0, t0_h, t80_h)
    assert SAN_FRANCISCO_BAY.t50_h(0.1) < t50_h < SAN_FRANCISCO_BAY.t50_h(0.9)


# Sorgeloos & Persoone 1975 [R, secondary]: longest 24 h at about 28 °C; its salinity is not told.
def test_great_salt_lake_takes_its_longest_at_28_degrees() -> None:
    at_25_g = dose_at_share(0.95, GREAT_SALT_LAKE.t50_median_h, GREAT_SALT_LAKE.synchrony_median) / pace(28.0)
    assert at_25_g < 24.0 < at_25_g * salinity_delay(35.0)
    assert GREAT_SALT_LAKE.t50_median_h > SAN_FRANCISCO_BAY.t50_median_h


# Eslava-Eljaiek et al. 2011 [R]: T10 10, T90 15.67 h, Ts 5.67; temperature and salinity are not at hand.
def test_pozos_colorados_is_its_own_hatch_at_some_usual_temperature() -> None:
    seen_h = math.sqrt(10.0 * 15.67)
    ends = [seen_h * pace(t) / salinity_delay(s) for t, s in ((25.0, 30.0), (28.0, 15.0))]
    assert POZOS_COLORADOS.t50_median_h == pytest.approx(geometric_mean(ends), abs=0.1)
    assert POZOS_COLORADOS.synchrony_median == pytest.approx(5.67 / seen_h, abs=0.01)
    begun = hatched_share(9.0, seen_h, POZOS_COLORADOS.synchrony_median)
    assert 0.01 < begun < 0.05  # T0 9.0 h


# Yanchi Lake study, abstract [R]: threshold 9.07 °C; nothing else is at hand.
def test_sinica_adds_only_its_threshold() -> None:
    assert SINICA.threshold_c == 9.07
    assert SINICA.t50_h(0.1) == UNKNOWN.t50_h(0.1)
    assert SINICA.synchrony(0.9) == UNKNOWN.synchrony(0.9)


def test_an_unknown_strain_is_todays_default() -> None:
    assert (UNKNOWN.t50_median_h, UNKNOWN.t50_ln_sd) == (hatching.T50_MEDIAN_H, hatching.T50_LN_SD)
    assert (UNKNOWN.synchrony_median, UNKNOWN.synchrony_ln_sd) == (
        hatching.SYNCHRONY_MEDIAN,
        hatching.SYNCHRONY_LN_SD,
    )
    uneven = (strains.UNEVEN_SHARE, strains.UNEVEN_MEDIAN, strains.UNEVEN_LN_SD)
    assert uneven == (hatching.UNEVEN_SHARE, hatching.UNEVEN_MEDIAN, hatching.UNEVEN_LN_SD)
    assert UNKNOWN.uneven_share == hatching.UNEVEN_SHARE


# The handbook's row of synchronies [R]: one of ten has a diapausing lot, 23.5 to 27.4 h on 18 to 20 h. Its
# quick end and the quickest of the even ones lie inside nine lots in ten.
def test_one_lot_in_ten_hatches_over_a_day() -> None:
    assert UNKNOWN.synchrony(0.9) < 23.5 / 20.0 < 27.4 / 18.0 < UNKNOWN.synchrony(0.995)
    assert UNKNOWN.synchrony(0.05) < 5.67 / 20.0
    even = replace(UNKNOWN, uneven_share=0.0)
    assert even.synchrony(0.9) == pytest.approx(0.36 * math.exp(1.2816 * 0.28), rel=1e-3)
    assert even.synchrony(0.99) < 0.76


@given(st.floats(0.05, 3.0), st.floats(0.0, 1.0))
def test_a_synchronys_weight_is_the_slope_of_its_share_of_lots(synchrony: float, uneven: float) -> None:
    strain = replace(UNKNOWN, uneven_share=uneven)
    even = stats.norm(math.log(0.36), 0.28).pdf(math.log(synchrony))
    late = stats.norm(math.log(1.07), 0.27).pdf(math.log(synchrony))
    assert strain.synchrony_weight(synchrony) == pytest.approx((1.0 - uneven) * even + uneven * late)


# Lots of one strain differ by 40 to 50 % [R, secondary], and as much within strains as between (Vanhaecke &
# Sorgeloos 1982) [R, abstract].
@presets
def test_no_preset_is_narrower_than_lots_differ(strain: Strain) -> None:
    assert strain.t50_h(0.9) / strain.t50_h(0.5) >= 1.4
    assert strain.t50_ln_sd >= UNKNOWN.t50_ln_sd
    assert strain.synchrony_ln_sd >= UNKNOWN.synchrony_ln_sd


@presets
def test_every_preset_names_its_source_and_is_found_by_its_name(strain: Strain) -> None:
    assert STRAINS[strain.name] is strain
    assert strain.source
    assert strain.t50_h(0.5) == pytest.approx(strain.t50_median_h)
    # All guesses overlap: no preset excludes the default's middle.
    assert strain.t50_h(0.1) < UNKNOWN.t50_median_h < strain.t50_h(0.9)


@given(st.floats(0.001, 0.5), st.floats(0.001, 0.49))
def test_quantiles_rise_with_the_share_of_lots(share: float, more: float) -> None:
    for strain in STRAINS.values():
        assert strain.t50_h(share) < strain.t50_h(share + more)
        assert strain.synchrony(share) < strain.synchrony(share + more)


@pytest.mark.parametrize("share", [0.0, 1.0, -0.1, math.nan])
def test_the_ends_of_all_lots_are_not_known(share: float) -> None:
    with pytest.raises(OutOfRange, match="allowed is"):
        UNKNOWN.t50_h(share)


# docs/explanation/science.md, *Strains*: the middle and eight in ten lots, as they are told there.
@pytest.mark.parametrize(
    ("name", "t50_h", "synchrony"),
    [
        ("unknown", (13.3, 19.0, 27.2), (0.26, 0.37, 0.71)),
        ("san-francisco-bay", (12.7, 18.2, 26.1), (0.28, 0.54, 1.05)),
        ("great-salt-lake", (14.5, 21.3, 31.3), (0.26, 0.37, 0.71)),
        ("pozos-colorados", (9.5, 14.3, 21.5), (0.32, 0.47, 0.81)),
        ("sinica", (13.3, 19.0, 27.2), (0.26, 0.37, 0.71)),
    ],
)
def test_a_presets_lots_are_those_of_the_page(
    name: str, t50_h: tuple[float, ...], synchrony: tuple[float, ...]
) -> None:
    strain = STRAINS[name]
    assert tuple(strain.t50_h(share) for share in (0.1, 0.5, 0.9)) == pytest.approx(t50_h, abs=0.05)
    assert tuple(strain.synchrony(share) for share in (0.1, 0.5, 0.9)) == pytest.approx(synchrony, abs=0.005)
