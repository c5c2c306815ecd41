"""Which labels are asked about, and which are not."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.person_names import looks_like_a_name, to_ask_about
from reports.language import say, spoken
from reports.page.paper.creatures import CREATURES, creature


# Of sagas and of the sky: no child's.
@pytest.mark.parametrize("label", ["Undine", "Undine-2", "cup-Undine", "Undine und Wotan", "Ägir", "Io"])
def test_a_word_with_a_capital_that_nobody_knows_is_asked_about(label: str) -> None:
    assert looks_like_a_name(label)


@pytest.mark.parametrize(
    "label",
    [
        *("tray", "cup-01", "Cup-3", "A", "B2", "DHT22", "Blue-Jar", "Fenster-links", "Kueche", "Küche", "7"),
        *("", "-", "undine", "UNDINE", "Otter 2", "Water flea", "Room_air", "Wasserfloh", "Igel"),
        *("Übung 4b", "Klasse 4b", "Leitungswasser", "Regenwasser", "Mineralwasser", "Wasserart", "Kinder"),
        *("Kühlschrank", "Sonnenlicht", "Projektwoche", "Tap water", "Foil", "Bottled", "Saltiness"),
    ],
)
def test_numbers_creatures_colours_and_what_stands_in_a_room_are_not(label: str) -> None:
    assert not looks_like_a_name(label)


@pytest.mark.parametrize("language", ["en", "de"])
def test_no_creature_of_our_list_is_asked_about_in_either_language(language: str) -> None:
    with spoken(language):
        for place in range(2 * len(CREATURES)):
            assert not looks_like_a_name(creature(place))
        assert not any(looks_like_a_name(say(one)) for one in CREATURES)


def test_each_is_asked_about_once_and_never_again_once_it_was_answered() -> None:
    assert to_ask_about(["Undine", "tray", "Wotan", "Undine"], []) == ["Undine", "Wotan"]
    assert to_ask_about(["Undine", "Wotan"], ["Undine"]) == ["Wotan"]


@given(st.text(max_size=40))
def test_whatever_is_typed_has_an_answer(label: str) -> None:
    assert looks_like_a_name(label) in (True, False)
