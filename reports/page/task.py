"""A task, and how it is said while nobody is there."""

from collections.abc import Sequence
from dataclasses import dataclass

from reports import words
from reports.letters.blocks import Caution
from reports.letters.sentences import action
from reports.records import Setting


@dataclass(frozen=True, slots=True)
class Task:
    """Something to do: where (vessels' names), what, with which cautions, how it is mixed; `about` are the
    vessels' ids."""

    where: str
    what: str
    care: tuple[str, ...]
    steps: tuple[str, ...]
    about: tuple[str, ...]


def to_do(where: str, what: str, care: Sequence[str], steps: Sequence[str], about: tuple[str, ...]) -> Task:
    """One, said as a sentence."""
    return Task(where, words.capital(what), tuple(dict.fromkeys(care)), tuple(steps), about)


def once_there(setting: Setting, what: str) -> str:
    """What to do, with when that is: at once where somebody is there, else when they are back."""
    return action(setting, what).text


def texts(care: Sequence[Caution]) -> list[str]:
    """Cautions as they are read."""
    return [one.text for one in care]
