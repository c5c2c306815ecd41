"""What cups could show at best, before they are set."""

import pytest

from reports.experiment.design import CUPS_FOR_THE_MODEL, Planned, could_tell


@pytest.mark.parametrize("cups", [4, CUPS_FOR_THE_MODEL, 12])
def test_a_bound_that_is_never_reached_is_not_said_to_be(cups: int) -> None:
    planned = Planned("en", "", "salt", ("10 g/L", "25 g/L"), cups, 50, "window")
    said = could_tell(planned, 1e-6, 3)
    assert said[0] == "These cups can show a difference, if there is a large one."
    assert any("at most once in" in line for line in said) == (cups < CUPS_FOR_THE_MODEL)


def test_cups_in_places_of_their_own_keep_their_condition() -> None:
    planned = Planned("en", "", "warmth", ("18 °C", "26 °C"), 6, 50, "window", in_places=True)
    assert any("place of its own" in line for line in could_tell(planned, 1e-6, 3))
