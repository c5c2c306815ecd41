"""Words of an experiment's plan that look like a person's name: they are asked about before it is begun."""

import re
from collections.abc import Iterable, Iterator

from daemon.everyday_words import DETERMINERS, ENGLISH_ALONE, GERMAN_ALONE, OF_SENTENCES
from daemon.person_names import is_no_everyday_word, to_ask_about
from daemon.planning.experiment.design import ExperimentDesign
from daemon.planning.experiment.level import FACTORS

_WORD = re.compile(r"[^\W\d_]+(?:-[^\W\d_]+)*")
# Behind these a sentence begins anew.
_ENDS = re.compile(r"(?<=[.!?:])\s+")


def _set(lines: Iterable[str]) -> frozenset[str]:
    return frozenset(word for line in lines for word in line.split())


_IN_SENTENCES, _DETERMINERS = _set(OF_SENTENCES), _set(DETERMINERS)
_GERMAN, _ENGLISH = _set(GERMAN_ALONE), _set(ENGLISH_ALONE)


def names_in(design: ExperimentDesign, language: str, no_names: Iterable[str]) -> list[str]:
    """Words of a plan that look like a person's name, but for those that somebody said are none.

    An idea is read as English or German by its own words, and in the `language` of its reader where they do
    not say.
    """
    own = [design.factor] if design.factor not in FACTORS else []
    idea = [name for sentence in _ENDS.split(design.idea) for name in _of_a_sentence(sentence, language)]
    return to_ask_about([*design.levels, *own, *idea], no_names)


def _of_a_sentence(sentence: str, language: str) -> Iterator[str]:
    words = _WORD.findall(sentence)
    german = _is_german(words, language)
    for place, word in enumerate(words):
        if not is_no_everyday_word(word.partition("-")[0]) or word.lower() in _IN_SENTENCES:
            continue
        if german and (_is_verb(words, place, sentence) if place == 0 else _is_noun(words, place)):
            continue
        yield word


def _is_german(words: list[str], language: str) -> bool:
    lower = [word.lower() for word in words]
    german, english = (sum(word in known for word in lower) for known in (_GERMAN, _ENGLISH))
    return german > english or (german == english and language == "de")


def _is_verb(words: list[str], place: int, sentence: str) -> bool:
    """A German question may begin with its verb: then a noun, a name or an article is next."""
    after = words[place + 1 : place + 2]
    is_question = sentence.rstrip().endswith("?")
    return is_question and any(one[0].isupper() or one in _DETERMINERS or one in _PRONOUNS for one in after)


_PRONOUNS = frozenset(["es", "sie", "er", "wir", "ich", "man", "ihr", "du"])


def _is_noun(words: list[str], place: int) -> bool:
    """In German what follows an article, or an article and an adjective, is a noun. A name with an article
    before it is not noticed."""
    before = words[place - 1].lower()
    behind = words[place - 2].lower() if place > 1 else ""
    return before in _DETERMINERS or (
        behind in _DETERMINERS and words[place - 1].islower() and before.endswith(_ADJECTIVE)
    )


_ADJECTIVE = ("e", "en", "em", "er", "es")
