"""Labels: one for each cup, no two cups called alike, never more on a sheet than it takes."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.language import spoken
from reports.page.paper.creatures import CREATURES, creature
from reports.page.paper.labels import GRIDS, LabelPlan, labels, notes, pages_of
from tests.kit.report_samples import here

ADDRESS = "http://room-7.local:8077"
MOST_A_SHEET = 28


def plan(vessel: str = "tray-a", count: int = 1, mark_ml: float = 250.0) -> LabelPlan:
    return LabelPlan(vessel, count, mark_ml, f"{ADDRESS}/do/{vessel}")


# Names with markup, controls and halves of characters, too.
_PLANS = st.lists(
    st.builds(
        plan,
        st.text(st.characters(exclude_categories=()), min_size=1, max_size=40),
        st.integers(1, 60),
        st.floats(1.0, 1e5),
    ),
    min_size=1,
    max_size=5,
)


@given(_PLANS, st.sampled_from(["numbers", "creatures"]), st.sampled_from(list(GRIDS)))
def test_each_cup_has_one_label_and_no_sheet_more_than_it_takes(
    plans: list[LabelPlan], names: str, grid: str
) -> None:
    made = labels(here(), plans, names)
    assert [one.plan for one in made] == [n for n, one in enumerate(plans) for _ in range(one.count)]
    sheets = pages_of(made, grid)
    assert [one for sheet in sheets for one in sheet] == made
    across, down = GRIDS[grid]
    assert max(len(sheet) for sheet in sheets) <= across * down <= MOST_A_SHEET
    assert all(len(sheet) == across * down for sheet in sheets[:-1])
    assert all("\n" not in one.name + one.tray for one in made)


def test_the_cups_of_a_tray_are_numbered_from_one_on_and_a_vessel_has_its_name() -> None:
    made = labels(here(), [plan("tray-a", 3), plan("jar")], "numbers")
    assert [(one.name, one.tray) for one in made] == [
        *(("1", "tray-a"), ("2", "tray-a"), ("3", "tray-a")),
        ("jar", ""),
    ]


@pytest.mark.parametrize("language", ["en", "de"])
def test_no_two_cups_of_any_trays_are_the_same_creature(language: str) -> None:
    setting = replace(here(), language=language)
    made = labels(setting, [plan("a", 28), plan("jar"), plan("b", 500)], "creatures")
    cups = [one.name for one in made if one.tray]
    assert len(set(cups)) == len(cups) == 528
    with spoken(language):
        assert cups[0] == creature(0)
        assert cups[len(CREATURES)] == f"{creature(0)} 2"


def test_a_label_says_which_water_and_how_much() -> None:
    (one,) = labels(here(), [plan(mark_ml=200.0)], "numbers")
    assert one.fill == "Fill with plain water to the mark (200 mL)."
    assert one.alternative == f"Code for {ADDRESS}/do/tray-a"


def test_before_printing_it_is_said_whether_a_phone_gets_there() -> None:
    def said(*, loopback: bool, told: bool) -> str:
        return " ".join(notes(here(), ADDRESS, loopback=loopback, told=told))

    assert "A phone cannot reach this address" in said(loopback=True, told=False)
    assert "only through another server" in said(loopback=True, told=True)
    assert "phone" not in said(loopback=False, told=True)
    assert "names of children stay off" in said(loopback=False, told=True)
