"""Words of an experiment's plan that look like a person's name: they are asked about, or named once."""

import re
from collections.abc import Iterable

from daemon.person_names import to_ask_about
from daemon.planning.experiment.design import ExperimentDesign
from daemon.planning.experiment.level import FACTORS

# A capital behind a small letter: in an English sentence a name, in a German one any noun.
_CAPITAL = re.compile(r"(?<=[a-z,;] )[A-Z]\w+")
_FIRST = re.compile(r"[A-Z]\w+")
# What an English idea begins with, where that is no name.
_BEGINS = frozenset(
    [
        *(
            "a",
            "all",
            "an",
            "any",
            "are",
            "at",
            "can",
            "could",
            "cysts",
            "do",
            "does",
            "eggs",
            "every",
            "few",
        ),
        *(
            "for",
            "has",
            "have",
            "how",
            "if",
            "in",
            "is",
            "it",
            "less",
            "many",
            "may",
            "might",
            "more",
            "must",
        ),
        *(
            "no",
            "on",
            "only",
            "or",
            "our",
            "should",
            "some",
            "than",
            "that",
            "the",
            "their",
            "there",
            "these",
        ),
        *("they", "this", "those", "to", "too", "under", "we", "what", "when", "where", "whether", "which"),
        *("while", "who", "why", "will", "with", "without", "would"),
    ]
)


def names_in(design: ExperimentDesign, language: str, no_names: Iterable[str]) -> list[str]:
    """Words of a plan that look like a person's name, but for those that somebody said are none. The idea is
    looked at in English alone: every German noun begins with a capital."""
    own = [design.factor] if design.factor not in FACTORS else []
    idea = _of_a_sentence(design.idea) if language == "en" else []
    return to_ask_about([*design.levels, *own, *idea], no_names)


def _of_a_sentence(idea: str) -> list[str]:
    first = _FIRST.match(idea.strip())
    begins = [first[0]] if first and first[0].lower() not in _BEGINS else []
    return [*begins, *_CAPITAL.findall(idea)]
