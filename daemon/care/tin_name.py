"""A tin's name in another spelling: nobody wants two tins where there is one."""

from collections.abc import Sequence

from daemon.input.file import nearest


def tin_like(name: str, known: Sequence[str]) -> str | None:
    """The known tin that is written much like this name, which is none of them; None where none is."""
    if not name or name in known:
        return None
    by_letters = {_letters(one): one for one in known}
    near = nearest(_letters(name), by_letters)
    return None if near is None else by_letters[near]


def tin_question(name: str, known: Sequence[str]) -> str | None:
    """What to ask about such a name; None where it is known, or like none that is."""
    like = tin_like(name, known)
    return None if like is None else f"No tin was called {name} before: did you mean {like}?"


def _letters(name: str) -> str:
    return " ".join(name.casefold().split())
