"""Names of people in an experiment's plan: which words are asked about, in English and in German."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.experiment_names import names_in
from daemon.planning.experiment.design import IDEA_LONGEST, design_of


def asked_about(
    idea: str = "", levels: str = "10; 25", factor: str = "salt", language: str = "en"
) -> list[str]:
    return names_in(design_of(idea, factor, levels, 4, 50, "window", 1), language, ["Ran"])


@pytest.mark.parametrize("language", ["en", "de"])
# Of sagas: no child's.
@pytest.mark.parametrize(
    "idea",
    [
        *("Mag Undine es salzig?", "Undine mag Salz", "Wächst Undine mit Algen?", "Helfen Undine und ich?"),
        *("Schlüpfen bei Undine mehr Tiere?", "Was sagt Undine dazu?", "Es ist warm. Undine friert"),
        *("Does Undine like salt?", "Undine asks if salt matters", "Is salt what Undine likes?"),
    ],
)
def test_a_name_is_asked_about_in_an_idea_of_either_language(idea: str, language: str) -> None:
    assert asked_about(idea, language=language) == ["Undine"]


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize(
    "idea",
    [
        *("Ist Salz wichtig?", "Mag es jemand salzig?", "Schlüpfen mehr im Dunkeln?", "Hilft Licht?"),
        *("Wie viel Salz mögen Urzeitkrebse?", "Welche Wasserart ist am besten?", "Salz oder kein Salz?"),
        *("Wie wirkt Backpulver auf die Larven?", "Was macht die alte Dose?", "Stört der Gesang?"),
        *("Überleben Artemien im Kühlschrank?", "Erhöht ein neuer Eierkarton die Ausbeute?"),
        *("Do more hatch in the dark?", "Salt or no salt?", "Is it warm? Then more hatch", ""),
    ],
)
def test_an_idea_without_a_name_is_left_alone_in_either_language(idea: str, language: str) -> None:
    assert asked_about(idea, language=language) == []


def test_levels_and_what_is_changed_are_looked_at_too() -> None:
    assert asked_about(levels="Undine; Wotan", factor="Tomke") == ["Undine", "Wotan", "Tomke"]
    assert asked_about(levels="Leitungswasser; Regenwasser; Mineralwasser", factor="Wasserart") == []


def test_what_somebody_said_is_none_is_not_asked_about() -> None:
    assert asked_about("Does Ran like salt?") == []


@given(st.text(st.characters(exclude_categories=["C", "Z"]) | st.just(" "), max_size=IDEA_LONGEST))
def test_whatever_is_written_each_word_asked_about_stands_in_it(idea: str) -> None:
    assert all(word in idea for word in asked_about(idea))
