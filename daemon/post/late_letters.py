"""What to make of letters that had to wait: decided here, carried out elsewhere.

A letter that waited for more than six hours is never sent as if it were fresh. One or two of them go as
themselves, with a note of when they were written. Of more, those whose trouble still stands go so; the
rest stands together in one digest, as history. (Six hours and two letters: judgement, no source.) What is
written two hours before people leave is late after two: it asks for something to be done before they go.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from daemon.seconds import HOUR_S

LATE_S = 6 * HOUR_S
_LATE_S_OF = {"leave": 2 * HOUR_S}
FEW = 2


@dataclass(frozen=True, slots=True)
class Waiting:
    """A letter in line. `stands` is whether its trouble does; None for a letter about a moment instead."""

    id: int
    kind: str
    about: tuple[str, ...]
    written_at: int
    stands: bool | None


class Fate(Enum):
    """What has become of a letter's matter meanwhile."""

    FRESH = "fresh"
    STANDS = "stands"
    OVER = "over"
    PASSED = "passed"
    REPEATED = "told again"


@dataclass(frozen=True, slots=True)
class Sorted:
    """Letters by id, in order: which go as themselves with a note, and which stand in a digest."""

    late: tuple[tuple[int, Fate], ...]
    together: tuple[tuple[int, Fate], ...]


def is_late(kind: str, written_at: int, at: int) -> bool:
    """Whether a letter has waited too long to go as if it were fresh; times in Unix seconds."""
    return at - written_at > _LATE_S_OF.get(kind, LATE_S)


def sorted_out(waiting: Sequence[Waiting], at: int) -> Sorted:
    """What goes late and what goes into a digest, of letters in the order of their numbers."""
    fates = [(letter.id, fate_of(letter, waiting[place + 1 :], at)) for place, letter in enumerate(waiting)]
    late = tuple((letter_id, fate) for letter_id, fate in fates if fate is not Fate.FRESH)
    if len(late) <= FEW:
        return Sorted(late, ())
    return Sorted(
        tuple((letter_id, fate) for letter_id, fate in late if fate is Fate.STANDS),
        tuple((letter_id, fate) for letter_id, fate in late if fate is not Fate.STANDS),
    )


def fate_of(letter: Waiting, later: Sequence[Waiting], at: int) -> Fate:
    """What has become of a letter; `later` are those in line behind it."""
    if not is_late(letter.kind, letter.written_at, at):
        return Fate.FRESH
    if letter.stands is None:
        return Fate.PASSED
    if not letter.stands:
        return Fate.OVER
    again = {vessel for other in later if other.kind == letter.kind for vessel in other.about}
    return Fate.REPEATED if again.issuperset(letter.about) else Fate.STANDS
