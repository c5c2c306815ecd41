"""What a formula does with a value it is not known for."""

import math
from collections.abc import Callable

import pytest

from daemon.science import (
    air,
    brine,
    confidence_intervals,
    counts,
    distributions,
    evaporation,
    growth,
    hatch_needs,
    hatching,
    hydrometer,
    sea_water,
    soda,
    stages,
)
from daemon.science import cup_heat_balance as heat
from daemon.science.counts import IntervalEstimate
from daemon.science.replicate_cups import dispersion, share_over_cups
from daemon.science.significance import fisher_exact_p, kruskal_wallis
from daemon.science.stages import LifeStage
from daemon.science.strains import UNKNOWN
from daemon.science.valid_range import OutOfRange, within


def test_a_value_inside_its_range_comes_back_unchanged() -> None:
    assert within("level", 3.5, 0.0, 4.0, "cm") == 3.5


@pytest.mark.parametrize("edge", [0.0, 4.0])
def test_both_ends_of_a_range_are_allowed(edge: float) -> None:
    assert within("level", edge, 0.0, 4.0, "cm") == edge


@pytest.mark.parametrize("value", [-0.001, 4.001, math.nan, math.inf, -math.inf])
def test_a_value_outside_is_refused_with_the_limits_in_the_message(value: float) -> None:
    with pytest.raises(OutOfRange, match=r"^level is .*; allowed is 0 to 4 cm$"):
        within("level", value, 0.0, 4.0, "cm")


def test_a_refusal_carries_its_facts() -> None:
    with pytest.raises(OutOfRange) as caught:
        within("share", 2.0, 0.0, 1.0)
    refused = caught.value
    assert (refused.what, refused.value, refused.low, refused.high) == ("share", 2.0, 0.0, 1.0)
    assert str(refused) == "share is 2; allowed is 0 to 1"


def test_large_numbers_are_written_out() -> None:
    refused = OutOfRange("volume", 1e7, 1.0, 1e6, "mL")
    assert str(refused) == "volume is 10000000 mL; allowed is 1 to 1000000 mL"
    assert str(OutOfRange("cysts", 0.0, 1e-6, 1e9, "")) == "cysts is 0; allowed is 1e-06 to 1000000000"


Asked = Callable[[float], object]

# Every range that a formula states: the two ends belong to it, the next number beyond either does not.
RANGES: dict[str, tuple[Asked, float, float]] = {
    "air: temperature of saturation": (air.saturation_vapour_pressure_pa, -20.0, 60.0),
    "air: temperature of moist air": (lambda t: air.vapour_pressure_pa(t, 50.0), -20.0, 60.0),
    "air: relative humidity": (lambda rh: air.vapour_pressure_pa(20.0, rh), 0.0, 100.0),
    "air: vapour in a ratio": (air.humidity_ratio, 0.0, 20_000.0),
    "air: pressure in a ratio": (lambda p: air.humidity_ratio(1000.0, p), 50_000.0, 110_000.0),
    "air: temperature of a density": (lambda t: air.dry_air_density_kg_per_m3(t, 0.0), -20.0, 60.0),
    "air: vapour in a density": (lambda e: air.dry_air_density_kg_per_m3(20.0, e), 0.0, 20_000.0),
    "air: pressure of a density": (
        lambda p: air.dry_air_density_kg_per_m3(20.0, 1000.0, p),
        50_000.0,
        110_000.0,
    ),
    "brine: temperature": (lambda t: brine.density_kg_per_m3(t, 25.0), -5.0, 60.0),
    "brine: salinity": (lambda s: brine.density_kg_per_m3(25.0, s), 0.0, 120.0),
    "brine: salinity of an activity": (brine.water_activity, 0.0, 120.0),
    "brine: sea salt of an activity": (brine.water_activity_sea_salt, 0.0, 120.0),
    "brine: salt": (lambda g: brine.salinity_g_per_kg(g, 1000.0), 0.0, 1e6),
    "brine: water": (lambda g: brine.salinity_g_per_kg(10.0, g), 1e-6, 1e9),
    "brine: salt in a litre": (brine.salinity_in_a_litre, 0.0, 130.0),
    "brine: salt to a litre": (lambda g: brine.salinity_to_a_litre(g, 25.0), 0.0, 125.0),
    "brine: salinity of a recipe": (brine.salt_g_in_a_litre, 0.0, 120.0),
    "brine: salinity of a litre": (lambda s: brine.g_per_l(s, 25.0), 0.0, 120.0),
    "brine: volume with salt": (lambda v: brine.salt_g_of(v, 25.0, 25.0), 0.0, 1e7),
    "brine: volume with water": (lambda v: brine.water_g_of(v, 25.0, 25.0), 0.0, 1e7),
    "significance: value": (lambda x: kruskal_wallis([[x], [1.0]]), -1e300, 1e300),
    "counts: aliquot": (lambda v: counts.animals_per_ml([3], v), 1e-4, 1e5),
    "counts: volume": (lambda v: counts.animals_in(IntervalEstimate(2.0, 1.0, 3.0), v), 0.0, 1e8),
    "counts: nauplii": (lambda n: counts.hatching_efficiency_per_g(n, 1.0), 0.0, 1e12),
    "counts: cysts weighed": (lambda g: counts.hatching_efficiency_per_g(1.0, g), 1e-6, 1e6),
    "counts: cysts a gram": (lambda n: counts.expected_efficiency_per_g(0.5, n), 1e5, 5e5),
    "counts: hatching fraction": (counts.expected_efficiency_per_g, 0.0, 1.0),
    "counts: milligrams": (counts.cysts_in_mg, 0.0, 1e9),
    "counts: cysts a gram by weight": (lambda n: counts.cysts_in_mg(1.0, n), 1e5, 5e5),
    "counts: pinches": (counts.cysts_in_pinches, 0.0, 1000.0),
    "cups: confidence": (lambda c: share_over_cups([(3, 9), (5, 9)], c), 0.5, 0.9999),
    "evaporation: rim at first": (evaporation.k_prior_median, 0.0, 1000.0),
    "evaporation: rim": (evaporation.rim_factor, 0.0, 1000.0),
    "evaporation: still column": (lambda d: evaporation.still_column_factor(d, 7.0), 0.0, 1000.0),
    "evaporation: width": (lambda w: evaporation.still_column_factor(1.0, w), 0.5, 10_000.0),
    "evaporation: Sherwood": (lambda sh: evaporation.still_column_factor(1.0, 7.0, sh), 0.1, 1e4),
    "evaporation: surface to fill": (evaporation.fill_error_ml, 0.0, 1e6),
    "evaporation: water": (lambda t: evaporation.shah_kg_per_m2_h(t, 20.0, 1000.0), -5.0, 60.0),
    "evaporation: room": (lambda t: evaporation.shah_kg_per_m2_h(25.0, t, 1000.0), -20.0, 60.0),
    "evaporation: vapour": (lambda e: evaporation.shah_kg_per_m2_h(25.0, 20.0, e), 0.0, 20_000.0),
    "evaporation: activity": (
        lambda a: evaporation.shah_kg_per_m2_h(25.0, 20.0, 1000.0, a),
        0.5,
        1.0,
    ),
    "evaporation: pressure": (
        lambda p: evaporation.shah_kg_per_m2_h(25.0, 20.0, 1000.0, 1.0, p),
        50_000.0,
        110_000.0,
    ),
    "evaporation: surface": (lambda a: evaporation.loss_ml_per_h(0.1, a, 25.0), 0.0, 1e6),
    "evaporation: wind": (lambda u: evaporation.rohwer_mm_per_day(25.0, 1000.0, u), 0.0, 100.0),
    "evaporation: vapour over a pan": (lambda e: evaporation.rohwer_mm_per_day(25.0, e), 0.0, 20_000.0),
    "evaporation: width of a cup": (
        lambda w: evaporation.sherwood_rayleigh_kg_per_m2_h(30.0, 20.0, 1000.0, w),
        0.5,
        10_000.0,
    ),
    "growth: temperature": (growth.days_to_adult, 15.0, 30.0),
    "growth: temperature of a pace": (growth.growth_pace, 15.0, 30.0),
    "growth: age": (growth.length_cm, 0.9, 10.8),
    "growth: hours unfed": (growth.energy_left_range, 0.0, 24.0),
    "hatch needs: light": (lambda lux: hatch_needs.light_effect(lux, 10.0), 0.0, 200_000.0),
    "hatch needs: minutes": (lambda m: hatch_needs.light_effect(2000.0, m), 0.0, 1e6),
    "hatch needs: start of light": (lambda h: hatch_needs.light_effect(2000.0, 10.0, h), 0.0, 1e5),
    "hatch needs: pH": (hatch_needs.ph_verdict, 0.0, 14.0),
    "hatch needs: volume": (hatch_needs.most_cysts_g_per_l, 1e-3, 1e6),
    "hatch needs: cysts": (lambda g: hatch_needs.density_verdict(g, 1.0), 0.0, 1e6),
    "hatch needs: lots": (hatch_needs.hatchable_share_quantile, 1e-6, 1.0 - 1e-6),
    "hatch needs: hatchable": (hatch_needs.share_of_lots_below, 0.0, 1.0),
    "hatch needs: years": (lambda y: hatch_needs.hatchable_share_quantile(0.4, y), 0.0, 20.0),
    "hatching: temperature": (hatching.pace, -5.0, 60.0),
    "hatching: salinity": (hatching.salinity_delay, 0.0, 90.0),
    "hatching: synchrony": (hatching.ln_spread, 1e-3, 10.0),
    "hatching: dose": (lambda d: hatching.hatched_share(d, 20.0, 0.4), 0.0, math.inf),
    "hatching: T50": (lambda t: hatching.hatched_share(10.0, t, 0.4), 0.1, 10_000.0),
    "hatching: T50 of a dose": (lambda t: hatching.dose_at_share(0.5, t, 0.4), 0.1, 10_000.0),
    "hatching: temperature of instar II": (hatching.hours_to_instar_ii, 15.0, 33.0),
    "hydrometer: temperature": (lambda t: hydrometer.density_of(t, 25.0), 5.0, 35.0),
    "hydrometer: salinity": (lambda s: hydrometer.density_of(25.0, s), 0.0, 50.0),
    "hydrometer: gravity, refused before it is looked up": (
        lambda g: _unless_density(lambda: hydrometer.salinity_of_specific_gravity(g, 25.0, 25.0)),
        0.9,
        1.2,
    ),
    "hydrometer: calibration": (
        lambda t: hydrometer.reading_of_salinity(25.0, 25.0, hydrometer.Scale(calibrated_c=t)),
        5.0,
        35.0,
    ),
    "hydrometer: glass": (
        lambda b: hydrometer.reading_of_salinity(25.0, 25.0, hydrometer.Scale(glass_per_k=b)),
        0.0,
        1e-3,
    ),
    "intervals: confidence": (lambda c: confidence_intervals.wilson(3, 9, c), 0.5, 0.9999),
    "sea water: temperature": (lambda t: sea_water.density_kg_per_m3(t, 25.0), 5.0, 35.0),
    "sea water: salinity": (lambda s: sea_water.density_kg_per_m3(25.0, s), 0.0, 50.0),
    "sea water: salinity by mass": (sea_water.practical_salinity, 0.0, 50.0),
    "sea water: practical salinity": (lambda s: sea_water.eos_80_kg_per_m3(25.0, s), 0.0, 50.0),
    "soda: for an alkalinity": (soda.alkalinity_meq_per_l, 0.0, 5.0),
    "soda: just mixed": (lambda g: soda.ph_just_mixed(g, 25.0, 25.0), 0.05, 5.0),
    "soda: salinity": (lambda s: soda.ph_just_mixed(0.5, s, 25.0), 0.0, 35.0),
    "soda: temperature": (lambda t: soda.ph_just_mixed(0.5, 25.0, t), 10.0, 32.0),
    "soda: open to air": (lambda g: soda.ph_open_to_air(g, 25.0, 25.0), 0.05, 5.0),
    "soda: carbon dioxide": (lambda c: soda.ph_open_to_air(0.5, 25.0, 25.0, c), 100.0, 20_000.0),
    "special: x of the beta": (lambda x: distributions.beta_cdf(x, 2.0, 3.0), 0.0, 1.0),
    "special: a of the beta": (lambda a: distributions.beta_cdf(0.5, a, 3.0), 1e-6, 1e6),
    "special: b of the beta": (lambda b: distributions.beta_cdf(0.5, 3.0, b), 1e-6, 1e6),
    "special: share of the beta": (lambda p: distributions.beta_quantile(p, 2.0, 3.0), 0.0, 1.0),
    "special: x of the gamma": (lambda x: distributions.gamma_cdf(x, 2.0), 0.0, math.inf),
    "special: a of the gamma": (lambda a: distributions.gamma_cdf(1.0, a), 1e-6, 1e6),
    "special: x of the gamma's tail": (lambda x: distributions.gamma_survival(x, 2.0), 0.0, math.inf),
    "special: a of the gamma's tail": (lambda a: distributions.gamma_survival(1.0, a), 1e-6, 1e6),
    "special: share of the gamma": (lambda p: distributions.gamma_quantile(p, 2.0), 0.0, 1.0),
    "special: share of Student's t": (lambda p: distributions.student_t_quantile(p, 5.0), 1e-9, 1.0 - 1e-9),
    "stages: hours in water": (stages.soaked_share_range, 0.0, 1e6),
    "stages: dose": (lambda d: stages.reached_share(LifeStage.INSTAR_I, d, 20.0, 0.4), 0.0, 1e6),
    "stages: T50": (lambda t: stages.middle_begins_h(LifeStage.INSTAR_I, t), 0.1, 10_000.0),
    "strains: share of lots": (UNKNOWN.t50_h, 1e-6, 1.0 - 1e-6),
    "cup heat: volume": (heat.heat_capacity_j_per_k, 1.0, 1e6),
    "cup heat: volume of a loss": (heat.ua_w_per_k_of, 1.0, 1e6),
    "cup heat: water": (heat.latent_heat_j_per_g, -5.0, 60.0),
    "cup heat: surface": (lambda a: heat.evaporation_w(0.1, a, 25.0), 0.0, 1e6),
    "cup heat: evaporation": (lambda e: heat.evaporation_w(e, 40.0, 25.0), 0.0, 100.0),
    "cup heat: heat capacity": (lambda c: heat.time_constant_h(c, 0.18), 1e-3, 1e9),
    "cup heat: loss": (lambda ua: heat.time_constant_h(1000.0, ua), 1e-6, 1e6),
    "cup heat: evaporation's slope": (lambda e: heat.time_constant_h(1000.0, 0.18, e), 0.0, 1e6),
    "cup heat: room": (lambda t: heat.equilibrium_c(t, 1.0, 0.18, 0.0), -20.0, 60.0),
    "cup heat: lamp": (lambda w: heat.equilibrium_c(20.0, w, 0.18, 0.0), 0.0, 10_000.0),
    "cup heat: cooling": (lambda w: heat.equilibrium_c(20.0, 1.0, 0.18, w), 0.0, 10_000.0),
    "cup heat: loss where it settles": (lambda ua: heat.equilibrium_c(20.0, 1.0, ua, 0.0), 1e-6, 1e6),
    "cup heat: hours": (lambda h: heat.cup_c_after(h, 25.0, 20.0, 1.0, 0.18, 1000.0, 0.0), 0.0, 1e6),
    "cup heat: start": (lambda t: heat.cup_c_after(1.0, t, 20.0, 1.0, 0.18, 1000.0, 0.0), -20.0, 100.0),
}

# Counts, where the next number is one more or one less.
COUNTS: dict[str, tuple[Callable[[int], object], int, int]] = {
    "significance: count in a table": (lambda n: fisher_exact_p(n, 0, 0, 0), 1, 10_000),
    "significance: groups": (lambda n: kruskal_wallis([[1.0]] * n), 2, 20),
    "significance: cups in a group": (lambda n: kruskal_wallis([[1.0], [1.0] * n]), 1, 1000),
    "counts: aliquots": (lambda n: counts.animals_per_ml([0] * n, 1.0), 1, 10_000),
    "counts: animals": (lambda n: counts.animals_per_ml([n], 1.0), 0, 999_999),
    "counts: aliquots to compare": (lambda n: counts.dispersion_of_counts([0] * n), 2, 10_000),
    "counts: nauplii of a sample": (lambda n: counts.hatching_fraction(n, 0, 0), 1, 999_999),
    "counts: umbrellas": (lambda n: counts.hatching_fraction(0, n, 0), 1, 999_999),
    "counts: unhatched": (lambda n: counts.hatching_fraction(0, 0, n), 1, 999_999),
    "cups: cups": (lambda n: share_over_cups([(1, 1)] * n), 2, 10_000),
    "cups: cysts in a cup": (lambda n: dispersion([[(0, n), (0, 1)]]), 1, 999_998),
    "cups: hatched of nine": (lambda n: dispersion([[(n, 9), (4, 9)]]), 0, 9),
    "intervals: hits of nine": (lambda n: confidence_intervals.wilson(n, 9), 0, 9),
    "intervals: sample": (lambda n: confidence_intervals.wilson(0, n), 1, 999_999),
    "intervals: count": (confidence_intervals.poisson_exact, 0, 999_999),
}


def _unless_density(asked: Callable[[], object]) -> object:
    """A gravity of no brine is refused for its density, later and with another name."""
    try:
        return asked()
    except OutOfRange as refused:
        if refused.what == "density":
            return None
        raise


@pytest.mark.parametrize("name", RANGES)
def test_a_formula_takes_both_ends_of_its_range_and_nothing_beyond(name: str) -> None:
    asked, low, high = RANGES[name]
    for allowed in (low, high):
        asked(allowed)
    for refused in {math.nextafter(low, -math.inf), math.nextafter(high, math.inf), math.nan} - {math.inf}:
        with pytest.raises(OutOfRange, match="allowed is") as told:
            asked(refused)
        assert (told.value.low, told.value.high) == (low, high)


@pytest.mark.parametrize("name", COUNTS)
def test_a_formula_takes_the_least_and_the_most_count_and_not_one_beyond(name: str) -> None:
    asked, least, most = COUNTS[name]
    for allowed in (least, most):
        asked(allowed)
    for refused in (least - 1, most + 1):
        with pytest.raises(OutOfRange, match="allowed is"):
            asked(refused)
