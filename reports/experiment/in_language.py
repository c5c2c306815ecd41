"""Whatever is written of an experiment, in a language: a command has no station that would say which."""

from collections.abc import Callable
from typing import ParamSpec, TypeVar

from reports.language import languages, spoken

_Given = ParamSpec("_Given")
_Written = TypeVar("_Written")

LANGUAGES = languages()


def written(
    language: str, write: Callable[_Given, _Written], *given: _Given.args, **named: _Given.kwargs
) -> _Written:
    """What `write` writes of what is given, in this language."""
    with spoken(language):
        return write(*given, **named)
