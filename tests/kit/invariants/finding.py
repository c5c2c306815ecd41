"""What an invariant finds: a letter or a belief that says what is not so."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from tests.kit.invariants.letter import Letter
from tests.kit.invariants.record import Record


@dataclass(frozen=True, slots=True)
class Finding:
    """`where` names the letter, or the belief; `says` and `but` are for people."""

    where: str
    says: str
    but: str

    def __str__(self) -> str:
        return f"{self.where}: says {self.says}, but {self.but}"


Invariant = Callable[[Record], Iterator[Finding]]


def of(record: Record, letter: Letter, says: str, but: str) -> Finding:
    """A finding in a letter."""
    when = record.local(letter.written_at).strftime("%a %d %b %H:%M")
    return Finding(f"letter {letter.number} ({letter.kind}, {when})", says, but)
