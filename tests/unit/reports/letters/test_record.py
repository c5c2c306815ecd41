"""Lines for the care log: ready to copy, few where vessels are many."""

import pytest

from reports.letters.record import brine, few, of_each, top_up

CUPS = [top_up(f"cup-{n}", 14.0) for n in range(1, 6)]
OTHERS = "and so for each of the others"


def test_up_to_three_lines_stand_as_they_are() -> None:
    assert few(CUPS[:3]) == tuple(CUPS[:3])


def test_of_more_the_first_shows_how() -> None:
    assert few(CUPS) == ("naupliad care add cup-1 top-up 14 --detail to=mark", OTHERS)


def test_of_many_vessels_the_one_with_most_to_write_shows_how() -> None:
    two = [[CUPS[0]], [CUPS[1], "naupliad care add cup-2 feed 0.05"], [CUPS[2]], [CUPS[3]]]
    assert of_each(two) == (*two[1], OTHERS)


@pytest.mark.parametrize(("above_ml", "detail"), [(0.0, "to=mark"), (0.4, "to=mark"), (12.0, "above_ml=12")])
def test_a_top_up_says_where_it_ends(above_ml: float, detail: str) -> None:
    assert top_up("jar", 7.5, above_ml) == f"naupliad care add jar top-up 7.5 --detail {detail}"


def test_brine_says_its_salt() -> None:
    assert brine("jar", 33.4, 28.0) == "naupliad care add jar brine 33 --detail salt_g_per_l=28"
