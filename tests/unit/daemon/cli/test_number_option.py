"""Numbers typed as options: how warm water is, in the unit that a thermometer shows."""

import pytest

from tests.kit.command_line import naupliad

CONE = ("plan", "cone", "--volume-ml", "1500", "--cysts-g", "3")
DOSE = ("plan", "dose", "--volume-ml", "300", "--vessels", "1")
TEST = ("lot", "test", "--put", "50", "--hatched", "20", "--hours", "30")
START = ("plan", "start", "--for", "2099-01-15T10:00/10:45")


@pytest.mark.parametrize("words", [CONE, DOSE, TEST, START])
def test_a_number_that_makes_sense_in_fahrenheit_alone_says_how_that_is_typed(words: tuple[str, ...]) -> None:
    said = naupliad(*words, "--water-c", "82")
    assert (said.code, said.out) == (2, "")
    assert said.err.count("\n") == 1
    command = " ".join(words[:2])
    allowed = "°C from 0 to 45, such as 21.5; in °F with its letter, 82F"
    assert said.err.endswith(f"{command}: --water-c: found '82'; allowed: {allowed}\n")


@pytest.mark.parametrize("words", [CONE, DOSE, TEST])
def test_as_it_says_it_is_taken(words: tuple[str, ...]) -> None:
    assert naupliad(*words, "--water-c", "82F").code == 0


@pytest.mark.parametrize("typed", ["300", "182F", "-3"])
def test_what_is_no_water_in_either_unit_is_not_called_fahrenheit(typed: str) -> None:
    said = naupliad(*CONE, f"--water-c={typed}")
    assert said.code == 2
    assert "allowed: °C from 0 to 45, such as 21.5 or 70F" in said.err
