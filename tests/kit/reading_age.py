"""How hard English prose is to read: two published formulas, their coefficients from memory.

Both give a grade of a school in the USA; five years more is about the reader's age. Syllables are counted by
rule (groups of vowels, without a last e), so a word may be counted one too short or too long.
"""

import re
from statistics import fmean

YEARS_BEFORE_SCHOOL = 5.0
_LINES = re.compile(r"^- |^-+(?:  -+)*$", re.MULTILINE)


def flesch_kincaid(prose: str) -> float:
    """The grade of Kincaid, Fishburne, Rogers & Chissom 1975: from words a sentence and syllables a word."""
    words = _words(prose)
    return 0.39 * len(words) / len(_sentences(prose)) + 11.8 * fmean(map(_syllables, words)) - 15.59


def coleman_liau(prose: str) -> float:
    """The grade of Coleman & Liau 1975: from letters and sentences in a hundred words."""
    words = _words(prose)
    letters_in_100 = 100.0 * fmean(sum(map(str.isalpha, word)) for word in words)
    return 0.0588 * letters_in_100 - 0.296 * 100.0 * len(_sentences(prose)) / len(words) - 15.8


def age_years(grade: float) -> float:
    """A grade as an age."""
    return grade + YEARS_BEFORE_SCHOOL


def prose_of(letter_text: str) -> str:
    """A plain letter's paragraphs, without headings, tables, facts in lines, and lines to copy."""
    return " ".join(part for part in letter_text.split("\n\n") if not _LINES.search(part))


def _sentences(prose: str) -> list[str]:
    return [part for part in re.split(r"[.!?](?:\s|$)", prose) if re.search(r"[a-z]", part)]


def _words(prose: str) -> list[str]:
    return [word for sentence in _sentences(prose) for word in re.findall(r"[A-Za-z']+", sentence)]


def _syllables(word: str) -> int:
    return max(1, len(re.findall(r"[aeiouy]+", word.lower().removesuffix("e"))))
