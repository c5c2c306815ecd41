"""The dose card, against the handbook's figures and its sources."""

from dataclasses import replace

import pytest

from daemon.page.dose import dose_of, recipe
from reports.amounts import grams
from reports.page.paper.dose import notes, rows
from tests.kit.report_samples import here
from tests.kit.station import tray


def test_24_cups_of_a_quarter_litre_take_what_the_recipe_says() -> None:
    """25 g of salt in a litre, a heaping tablespoon [P]; up to 1 g of soda a litre and up to 5 g of cysts
    (FAO Fisheries Technical Paper 428 [R]); 0.05 g of cysts in 250 mL [P]."""
    (row,) = rows(here(), [dose_of(tray())])
    assert row.each == ("250 mL", "6.25 g", "0.25 g", "0.05 g", "1.25 g")
    assert row.all_of_them == (
        *("6 L", "150 g (about 6 heaping tablespoons)"),
        *("6 g", "1.2 g", "30 g"),
    )


@pytest.mark.parametrize(("mark_ml", "most_g"), [(19_000.0, 95.0), (25_000.0, 50.0)])
def test_above_20_litres_fewer_cysts_have_air_enough(mark_ml: float, most_g: float) -> None:
    """5 g/L under 20 L, 2 g/L above: FAO Fisheries Technical Paper 428 [R]."""
    assert dose_of(replace(tray(), mark_ml=mark_ml)).cysts_most_g == pytest.approx(most_g)


def test_the_recipe_s_salt_makes_the_brine_that_the_reference_library_says() -> None:
    """25 g in a litre of water: 24.46 g/kg (handbook [C])."""
    assert recipe().salt_g_per_kg == pytest.approx(24.46, abs=0.005)


def test_a_pinch_weighs_what_its_cysts_weigh() -> None:
    """20,000 [P], a third to three times that; 200 to 300 thousand in a gram (Treece 2000 [R])."""
    assert 20_000 / 300_000 < recipe().pinch_g < 20_000 / 200_000
    assert "about 20\u202f000 (6700 to 60\u202f000) of them, or 0.08 g" in " ".join(notes(here(), recipe()))


def test_spoons_are_named_only_where_whole_ones_are_near() -> None:
    def salt(mark_ml: float) -> str:
        (row,) = rows(here(), [dose_of(replace(tray(), count=1, mark_ml=mark_ml))])
        return row.each[1]

    assert salt(1000.0) == "25 g (about 1 heaping tablespoon)"
    assert salt(1080.0) == "27 g (about 1 heaping tablespoon)"
    assert salt(1200.0) == "30 g"
    assert salt(1500.0) == "37.5 g"
    assert salt(250.0) == "6.25 g"


def test_nobody_s_dose_is_given_for_a_cone() -> None:
    (row,) = rows(here(), [dose_of(replace(tray(), kind="cone", count=1, mark_ml=2000.0))])
    assert row.each == ("2 L", "50 g (about 2 heaping tablespoons)", "2 g", "no usual dose", "10 g")


def test_vessels_alike_share_a_row() -> None:
    doses = [
        dose_of(replace(tray(), id=name, mark_ml=ml)) for name, ml in (("a", 250), ("b", 250), ("c", 200))
    ]
    assert [row.name for row in rows(here(), doses)] == ["a (24 cups) and b (24 cups)", "c (24 cups)"]


@pytest.mark.parametrize(
    ("amount_g", "said"),
    [
        (0.0, "0 g"),
        (0.05, "0.05 g"),
        (0.0728, "0.073 g"),
        (6.25, "6.25 g"),
        (100.0, "100 g"),
        (1234.0, "1234 g"),
    ],
)
def test_grams_have_three_figures_at_most(amount_g: float, said: str) -> None:
    assert grams(amount_g) == said
