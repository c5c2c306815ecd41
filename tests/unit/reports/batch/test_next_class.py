"""What the next class is told: proposals by what was learned, each only where it follows from it."""

from dataclasses import replace

import pytest

from reports.batch.next_class import KnownTin, KnownVessel, NextClass, next_class_lines
from reports.batch.records import ColdNights
from reports.records import Range

CUP = KnownVessel("tray", 24, 40.0, 20.0, Range(8.0, 12.0, 18.0), ColdNights(5, 21.0, 22.0), may_heat=False)
TOLD = NextClass("en", "C", 64.5, (), (), (CUP,), (), ())


def told(one: KnownVessel, **changed: object) -> str:
    return "\n".join(next_class_lines(replace(TOLD, vessels=(one,), **changed)))  # type: ignore[arg-type]


def test_a_weekend_that_takes_more_than_low_ml_proposes_what_would_bear_it() -> None:
    # 18 mL a day for 64.5 h are 48 mL: more than 40; rounded up to 5 mL that is 50.
    said = told(CUP)
    assert "over a weekend up to 48 mL go, more than low_ml = 40" in said
    assert "low_ml = 50 brings no letter for a weekend" in said
    assert "filled to the mark, it keeps above its low mark for about 2 days" in said


def test_a_weekend_that_the_cup_bears_proposes_nothing() -> None:
    assert "low_ml" not in told(replace(CUP, a_day_ml=Range(4.0, 6.0, 8.0)))
    assert "low_ml" not in told(CUP, away_h=None)


@pytest.mark.parametrize(
    ("coldest", "middle", "limit", "warmer"),
    [
        (21.0, 22.0, None, False),
        (18.7, 21.0, "18.5", False),
        (16.2, 17.0, "16", True),
        (12.0, 13.0, None, True),
    ],
)
def test_nights_below_cold_c_propose_a_limit_where_it_is_known_and_warmth_where_it_is_needed(
    coldest: float, middle: float, limit: str | None, warmer: bool
) -> None:
    said = told(replace(CUP, nights=ColdNights(5, coldest, middle)))
    assert (f"with cold_c = {limit} none of that brings a letter" in said) is (limit is not None)
    assert ("cold_c" in said) is (limit is not None)
    assert ("choose a warmer place" in said) is warmer
    assert "heater" not in said


def test_a_cold_day_sets_the_proposal_too() -> None:
    """A letter comes at any hour: 14.0 °C on a Saturday is below every limit that is known."""
    said = told(replace(CUP, nights=ColdNights(5, 16.7, 18.5, 14.0)))
    assert "nights were mostly 18.5 °C, once 16.7 °C" in said
    assert "at another hour it was once 14.0 °C" in said
    assert "cold_c" not in said
    mild = told(replace(CUP, nights=ColdNights(5, 18.7, 21.0, 17.4)))
    assert "with cold_c = 17 none of that brings a letter" in mild


def test_a_heater_is_named_for_a_cone_without_one_alone_and_under_the_rules() -> None:
    said = told(replace(CUP, nights=ColdNights(5, 12.0, 13.0), may_heat=True))
    assert "an aquarium heater with a thermostat holds a cone warm, if your rules allow one" in said


def test_tins_days_and_what_is_not_copied_are_told() -> None:
    tin = KnownTin(
        "blue", {"t50_h_at_25_c": Range(16.0, 18.0, 20.0), "hatchable_share": Range(0.5, 0.6, 0.7)}
    )
    said = told(CUP, tins=(tin,), over=("2026-12-21/2027-01-03",), unnamed=("shelf",))
    assert "Tin blue: half hatched after most likely 18.0 hours (16.0 to 20.0) in water of 25 °C." in said
    assert "Tin blue: can hatch: most likely 60 % (50 to 70) of its cysts." in said
    assert "left out: 2026-12-21/2027-01-03" in said
    assert "write the next holidays into away" in said
    assert "does not name: shelf" in said
    assert "Not copied: passwords, the page's PIN" in said
