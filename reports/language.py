"""Which language reports are written in, and what a sentence is in that language.

A sentence is known by its English text (gettext's msgid), which is also what English readers get. Whole
sentences only, with named places for what changes: `say("Water now: {water}.", water=...)`. The sentences of
another language stand in `locale/LANGUAGE/LC_MESSAGES/naupliad.po`; beside it lies the .mo compiled from it.
"""

import gettext
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache, wraps
from pathlib import Path
from typing import Concatenate, ParamSpec, Protocol, TypeVar

ENGLISH = "en"
DOMAIN = "naupliad"
LOCALE = Path(__file__).with_name("locale")

_spoken: ContextVar[str] = ContextVar("spoken", default=ENGLISH)
_Rest = ParamSpec("_Rest")
_Written = TypeVar("_Written")


class InALanguage(Protocol):
    """Anything that says in which language it is to be written."""

    @property
    def language(self) -> str:
        """A two-letter code, such as "de"."""


_Record = TypeVar("_Record", bound=InALanguage)


@cache
def languages() -> tuple[str, ...]:
    """The codes of the languages that can be spoken, English first."""
    others = (path.parent.parent.name for path in LOCALE.glob(f"*/LC_MESSAGES/{DOMAIN}.mo"))
    return (ENGLISH, *sorted(others))


@contextmanager
def spoken(language: str) -> Iterator[None]:
    """What is said inside is said in this language; English where it is none of `languages()`."""
    token = _spoken.set(language if language in languages() else ENGLISH)
    try:
        yield
    finally:
        _spoken.reset(token)


def in_its_language(
    write: Callable[Concatenate[_Record, _Rest], _Written],
) -> Callable[Concatenate[_Record, _Rest], _Written]:
    """Have a function write in the language of its first argument."""

    @wraps(write)
    def written(first: _Record, /, *rest: _Rest.args, **named: _Rest.kwargs) -> _Written:
        with spoken(first.language):
            return write(first, *rest, **named)

    return written


def current() -> str:
    """The code of the language spoken now (BCP 47, as HTML and RFC 3282 want it)."""
    return _spoken.get()


def to_say(sentence: str) -> str:
    """Marks a sentence that is said later, by `say`, for those who collect sentences to translate."""
    return sentence


def say(sentence: str, /, **values: object) -> str:
    """The sentence in the language spoken now, with its places filled."""
    return _catalogue(current()).gettext(sentence).format(**values)


def say_in(context: str, sentence: str, /, **values: object) -> str:
    """The same, for words that another language says in more than one way; `context` says which is meant."""
    return _catalogue(current()).pgettext(context, sentence).format(**values)


def say_many(one: str, more: str, count: int, /, **values: object) -> str:
    """The sentence for so many; `{count}` stands for the number."""
    return _catalogue(current()).ngettext(one, more, count).format(count=count, **values)


def say_many_in(context: str, one: str, more: str, count: int, /) -> str:
    """The sentence for so many, in a context."""
    return _catalogue(current()).npgettext(context, one, more, count).format(count=count)


@cache
def _catalogue(language: str) -> gettext.NullTranslations:
    if language == ENGLISH:
        return gettext.NullTranslations()
    return gettext.translation(DOMAIN, LOCALE, [language])
