"""A measured salinity by whatever instrument: a hydrometer's reading with its temperatures (TEOS-10)."""

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.care.deed import Deed
from daemon.care.log import deed_from_fields, format_detail, format_number
from daemon.care.measured_salinity import (
    HYDROMETER_SD,
    REFRACTOMETER_SD,
    UNKNOWN_SCALE_SD,
    UNKNOWN_WATER_SD,
    measured_salinity,
)
from daemon.errors import InputError
from daemon.science.hydrometer import Scale, reading_of_salinity, salinity_of_density
from daemon.science.valid_range import OutOfRange
from tests.kit.station import station

ROOM = station()


def measured(amount: float, unit: str | None = None, **detail: float | str) -> Deed:
    return Deed(0, "cup", "salinity", amount, detail, unit)


def by_glass(amount: float, unit: str | None = "sg", **detail: float) -> Deed:
    return measured(amount, unit, **{"with": "hydrometer", **detail})


def teos_10_reading(salinity: float, water_c: float, scale_c: float) -> float:
    """What a glass float reads in sea water: ρ(S, T)·(1 + β(T − T_scale)) / ρw(T_scale); β: handbook."""
    brine, plain = (float(gsw.rho_t_exact(s, t, 0.0)) for s, t in ((salinity, water_c), (0.0, scale_c)))
    return brine * (1.0 + 25e-6 * (water_c - scale_c)) / plain


# Table salt is lighter than sea salt: at 25 °C brine of 25 g/kg is 1014.70 kg/m³ (Rogers & Pitzer as in the
# CRC Handbook, [C] in ours) and sea water 1015.76 (gsw): 1.06 kg/m³, or 1.42 g/kg of table salt.
@pytest.mark.parametrize("water_c", [15.0, 20.0, 25.0, 30.0])
@pytest.mark.parametrize("scale_c", [15.0, 20.0, 25.0])
def test_a_specific_gravity_with_its_temperatures_agrees_with_teos_10(water_c: float, scale_c: float) -> None:
    sea = [
        measured_salinity(by_glass(teos_10_reading(s, water_c, scale_c), water_c=water_c, scale_c=scale_c))
        for s in (15.0, 25.0, 33.0)
    ]
    # As table salt: some 4 to 6 % more of it has the density of that sea water.
    for found, salinity in zip(sea, (15.0, 25.0, 33.0), strict=True):
        assert found.g_per_kg == pytest.approx(1.055 * salinity, abs=0.25)
        assert found.sd_g_per_kg == HYDROMETER_SD


@given(st.floats(5.0, 45.0), st.floats(10.0, 30.0), st.sampled_from([15.0, 15.56, 20.0, 25.0]))
def test_brine_of_table_salt_is_found_again_from_what_the_scale_shows(
    salinity: float, water_c: float, scale_c: float
) -> None:
    for unit, kind in (("sg", "specific-gravity"), (None, "salinity-g-per-kg")):
        scale = Scale(kind, calibrated_c=scale_c, reference_c=scale_c)  # type: ignore[arg-type]
        shows = reading_of_salinity(salinity, water_c, scale)
        found = measured_salinity(by_glass(shows, unit, water_c=water_c, scale_c=scale_c))
        assert found.g_per_kg == pytest.approx(salinity, abs=1e-6)


# Handbook [C], by TEOS-10: sea water of 35 g/kg at 25 °C reads 1.0263 on a 25/25 scale and 1.0251 on a 25/20
# one. As table salt, with 1.06 kg/m³ less at 25 g/kg, that is some 37 g/kg; either way the same.
@pytest.mark.parametrize(("shows", "reference_c"), [(1.0263, 25.0), (1.0251, 20.0)])
def test_a_scale_of_two_temperatures_is_put_right_for_both(shows: float, reference_c: float) -> None:
    glass = {"water_c": 25.0, "scale_c": 25.0, "reference_c": reference_c}
    sea_as_table = salinity_of_density(float(gsw.rho_t_exact(35.0, 25.0, 0.0)), 25.0)
    assert measured_salinity(by_glass(shows, **glass)).g_per_kg == pytest.approx(sea_as_table, abs=0.15)
    without = {key: c for key, c in glass.items() if key != "reference_c"}
    off = measured_salinity(by_glass(shows, **without)).g_per_kg - sea_as_table
    assert off == pytest.approx(0.0 if reference_c == 25.0 else -1.65, abs=0.2)


def test_ten_kelvin_between_water_and_scale_are_three_grams() -> None:
    # TEOS-10 (gsw): sea water of 25 g/kg reads 1.0189 at 25 °C on a 25/25 scale, 1.0215 at 15 °C.
    warm, cold = (teos_10_reading(25.0, water_c, 25.0) for water_c in (25.0, 15.0))
    assert (warm, cold) == (pytest.approx(1.0188, abs=2e-4), pytest.approx(1.0209, abs=5e-4))
    as_warm = measured_salinity(by_glass(cold, water_c=25.0, scale_c=25.0)).g_per_kg
    put_right = measured_salinity(by_glass(cold, water_c=15.0, scale_c=25.0)).g_per_kg
    assert 2.0 < as_warm - put_right < 4.0


def test_a_temperature_that_was_not_given_makes_it_less_sure() -> None:
    sds = [
        measured_salinity(by_glass(1.0177, **temperatures)).sd_g_per_kg
        for temperatures in ({"water_c": 24.0, "scale_c": 25.0}, {"scale_c": 25.0}, {"water_c": 24.0}, {})
    ]
    assert sds[0] == HYDROMETER_SD < sds[1] <= sds[2] < sds[3]
    # 5 K of either change what it says by no more than twice what is taken for it.
    for key, sd in (("water_c", UNKNOWN_WATER_SD), ("scale_c", UNKNOWN_SCALE_SD)):
        ends = [
            measured_salinity(by_glass(1.0177, **{"water_c": 22.0, "scale_c": 22.0, key: c})).g_per_kg
            for c in (19.5, 24.5)
        ]
        assert sd / 2 < abs(ends[0] - ends[1]) < 2 * sd


def test_a_refractometer_and_a_plain_figure_are_taken_as_they_are() -> None:
    assert measured_salinity(measured(26.5)).g_per_kg == 26.5
    found = measured_salinity(measured(26.5, **{"with": "refractometer", "water_c": 15.0}))
    assert (found.g_per_kg, found.sd_g_per_kg) == (26.5, REFRACTOMETER_SD)
    # Sea water of 35 g/kg at 20 °C over plain water of 20 °C (gsw): its printed scales say 1.0264.
    gravity = float(gsw.rho_t_exact(35.0, 20.0, 0.0) / gsw.rho_t_exact(0.0, 20.0, 0.0))
    found = measured_salinity(measured(gravity, "sg", **{"with": "refractometer"}))
    assert found.g_per_kg == pytest.approx(35.0, abs=0.1)


def test_plain_water_misread_by_a_division_is_plain_water() -> None:
    assert measured_salinity(by_glass(0.9985, water_c=25.0, scale_c=25.0)).g_per_kg == pytest.approx(
        0.0, abs=1e-6
    )
    with pytest.raises(OutOfRange, match="reading"):
        measured_salinity(by_glass(0.99, water_c=25.0, scale_c=25.0))


def told(amount: str, unit: str, detail: str) -> Deed:
    return deed_from_fields(0, "cup", "salinity", amount, unit, detail, ROOM)


def test_a_reading_is_kept_as_it_was_read_with_its_unit() -> None:
    detail = "with=hydrometer;water_c=24;scale_c=25"
    kept = told("1.018", "sg", detail)
    assert (kept.amount, kept.unit, kept.number("water_c")) == (1.018, "sg", 24.0)
    assert told(format_number(1.018), kept.unit, format_detail(kept)) == kept


@pytest.mark.parametrize(
    ("amount", "unit", "detail", "line"),
    [
        ("26.5", "sg", "", "amount: found '26.5'; allowed: 0.98 to 1.06 sg"),
        ("1018", "sg", "", "amount: found '1018'; allowed: 0.98 to 1.06 sg"),
        ("1.018", "ml", "", "unit: found 'ml'; allowed: g_per_kg, sg"),
        ("1.018", "sg", "water_c=75", "detail water_c: found '75'; allowed: 5 to 35 c"),
        ("1.018", "sg", "reference_c=4", "detail reference_c: found '4'; allowed: 5 to 35 c"),
        (
            *("1.018", "sg", "scale=25"),
            "detail: found 'scale' (did you mean scale_c?); allowed: water_c, scale_c, reference_c, with",
        ),
        ("1.05", "sg", "water_c=25;scale_c=25", "amount: found 1.05; allowed: 1 to 1.036 sg in such water"),
    ],
)
def test_what_no_scale_shows_is_refused_in_one_line(amount: str, unit: str, detail: str, line: str) -> None:
    with pytest.raises(InputError) as refusal:
        told(amount, unit, detail)
    assert refusal.value.faults == (line,)
