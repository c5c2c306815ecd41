"""A tin's name in another spelling: nobody wants two tins where there is one."""

from collections.abc import Sequence

from daemon.input.file import nearest


def tin_like(name: str, known: Sequence[str]) -> str | None:
    """The known tin that is written much like this name, which is none of them; None where none is.

    Case, spaces and hyphens never tell two tins apart. A lone letter, or a number, in the same place does.
    """
    if not name or name in known:
        return None
    folded = "".join(_parts(name))
    for one in known:
        if folded and "".join(_parts(one)) == folded:
            return one
    by_letters = {" ".join(_parts(one)): one for one in known if not _numbered_apart(name, one)}
    near = nearest(" ".join(_parts(name)), by_letters)
    return None if near is None else by_letters[near]


def tin_question(name: str, known: Sequence[str]) -> str | None:
    """What to ask about such a name; None where it is known, or like none that is."""
    like = tin_like(name, known)
    return None if like is None else f"No tin was called {name} before: did you mean {like}?"


def _parts(name: str) -> list[str]:
    return name.casefold().replace("-", " ").split()


def _numbered_apart(name: str, other: str) -> bool:
    """Whether they differ in one part alone, which is a lone letter or a number in both."""
    parts, others = _parts(name), _parts(other)
    if len(parts) != len(others):
        return False
    apart = [pair for pair in zip(parts, others, strict=True) if pair[0] != pair[1]]
    return len(apart) == 1 and all(len(part) == 1 or part.isdecimal() for part in apart[0])
