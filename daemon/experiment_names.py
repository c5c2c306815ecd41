"""Words of an experiment's plan that look like a person's name: they are asked about before it is begun."""

import re
from collections.abc import Iterable, Iterator

from daemon.person_names import is_no_everyday_word, to_ask_about
from daemon.planning.experiment.design import ExperimentDesign
from daemon.planning.experiment.level import FACTORS

_WORD = re.compile(r"[^\W\d_]+(?:-[^\W\d_]+)*")
# Behind these a sentence begins anew.
_ENDS = re.compile(r"(?<=[.!?:])\s+")


# What a sentence begins with or has between its nouns.
_OF_SENTENCES = (
    "then also each once",
    "a all an any are at can could do does every for has have how if in is it may might must on only or our",
    "should some than that the their there these they this those to too under we what when where whether",
    "which while who why will with would and but because does did was were be am i you he she",
    "als am an auch auf aus bei beim bis brauchen braucht bleiben bleibt da dann darf das dass dem den der",
    "des die dies diese dieser dieses dürfen ein eine einem einen einer eines entstehen erst es für geben",
    "geht gehen gibt haben hat helfen hilft ich ihr im in ins ist jede jeder jedes kann können",
    "kommen kommt leben lebt macht machen mag man mögen muss müssen nach nicht noch nur ob oder schadet",
    "schaden schlüpft schlüpfen schwimmen schwimmt sie sind so soll sollen sterben stirbt stört stören über",
    "um und unser unsere unter verändert vertragen verträgt vom von vor wachsen wächst wann war warum was",
    "welche welchem welchen welcher welches wenn wer werden wie wieso wir wird wirkt wirken wo wollen will",
    "wodurch womit woran zum zur zwischen überleben überlebt reicht reichen verdunstet lohnt dauert dauern",
    "schneller langsamer besser schlechter früher später alle viele einige manche wieviel wieviele je seit",
)
# Behind these German has a noun.
_BEFORE_NOUNS = (
    "der die das den dem des ein eine einem einen einer eines kein keine keinen mein meine dein deine unser",
    "unsere unserem unseren ihr ihre jede jeder jedes diese dieser dieses welche welcher welches welchem",
    "welchen viel viele mehr weniger wenig wenige genug im am beim zum zur vom ins ans alle manche einige",
)
# Seen in one language only: they tell in which one a sentence is.
_GERMAN_ALONE = (
    "als auch auf aus bei das dass dem den der die ein eine einem einen er es für gern gerne hat im ist",
    "kann mag mehr mit nicht ob oder ohne schlüpfen schlüpft sie sind und viel viele von wann welche wenn",
    "wer weniger werden wie wir wird zu zum zur besser schneller bei beim am wo warum wieviel",
)
_ENGLISH_ALONE = (
    "a an and are at best better by can do does fewer for from hatch hatches how if is it its like likes",
    "many more of on or our than the their them they to what when where which who why with without",
)


def _set(lines: Iterable[str]) -> frozenset[str]:
    return frozenset(word for line in lines for word in line.split())


_IN_SENTENCES, _DETERMINERS = _set(_OF_SENTENCES), _set(_BEFORE_NOUNS)
_GERMAN, _ENGLISH = _set(_GERMAN_ALONE), _set(_ENGLISH_ALONE)


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
