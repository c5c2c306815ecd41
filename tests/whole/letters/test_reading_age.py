"""The formulas of tests/kit/reading_age, worked by hand."""

import pytest

from tests.kit.reading_age import age_years, coleman_liau, flesch_kincaid, prose_of

# 9 words, 2 sentences, 9 syllables, 26 letters.
EASY = "The cat sat on the mat. It was warm."
# 4 words, 1 sentence, 13 syllables (tem-per-a-ture, read-ings, de-ter-mine, in-cu-ba-tion), 38 letters.
HARD = "Temperature readings determine incubation."


def test_flesch_and_kincaid_s_grade_is_as_worked_by_hand() -> None:
    assert flesch_kincaid(EASY) == pytest.approx(0.39 * 9 / 2 + 11.8 * 9 / 9 - 15.59)
    assert flesch_kincaid(EASY) == pytest.approx(-2.035)
    assert flesch_kincaid(HARD) == pytest.approx(0.39 * 4 + 11.8 * 13 / 4 - 15.59)


def test_coleman_and_liau_s_grade_is_as_worked_by_hand() -> None:
    """26 letters in 9 words are 288.9 in a hundred, and 2 sentences 22.2."""
    assert coleman_liau(EASY) == pytest.approx(0.0588 * 288.889 - 0.296 * 22.222 - 15.8, abs=1e-3)
    assert coleman_liau(HARD) == pytest.approx(0.0588 * 950.0 - 0.296 * 25.0 - 15.8)


def test_longer_words_and_sentences_are_harder() -> None:
    for grade in (flesch_kincaid, coleman_liau):
        assert grade(HARD) > grade(EASY)
        assert age_years(grade(EASY)) == grade(EASY) + 5.0


def test_only_paragraphs_are_prose() -> None:
    letter = "It is cold.\n\nMeans\n-----\n\njar\n- Water: 3 °C.\n\nA  B\n-  -\nx  y\n\nMove it.\n"
    assert " ".join(prose_of(letter).split()) == "It is cold. Move it."
