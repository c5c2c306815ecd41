"""The kinds of letters: how urgent each is, what brings it, and whether it waits for somebody.

The one table of them. The words of a kind stand in `reports.letters.kinds`, a row there for each row here.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Occasion(StrEnum):
    """What brings a letter."""

    TROUBLE = "trouble"  # an alarm, or the station itself: unplanned
    ABSENCE = "absence"  # people leave for long, or come back: planned
    BATCH = "batch"  # a batch comes to something: planned
    NIGHT = "night"  # every evening
    POST = "post"  # the post itself: what had to wait, or a try of it


@dataclass(frozen=True, slots=True)
class LetterKind:
    """How a kind is treated; `waits_for_somebody`: only who is in the room can do anything about it,
    and until then it does no harm."""

    occasion: Occasion
    waits_for_somebody: bool = False


# In order of rank: the more urgent first. What waits together is said by the first, the others at its foot.
LETTER_KINDS: Mapping[str, LetterKind] = {
    "hot": LetterKind(Occasion.TROUBLE),
    "cold": LetterKind(Occasion.TROUBLE),
    "probe": LetterKind(Occasion.TROUBLE),
    "outage": LetterKind(Occasion.TROUBLE),
    "lamp": LetterKind(Occasion.TROUBLE),
    "water": LetterKind(Occasion.TROUBLE, waits_for_somebody=True),
    "swing": LetterKind(Occasion.TROUBLE, waits_for_somebody=True),
    "storage": LetterKind(Occasion.TROUBLE, waits_for_somebody=True),
    "clock": LetterKind(Occasion.TROUBLE, waits_for_somebody=True),
    "leave": LetterKind(Occasion.ABSENCE),
    "return": LetterKind(Occasion.ABSENCE),
    "hatch": LetterKind(Occasion.BATCH),
    "harvest": LetterKind(Occasion.BATCH),
    "feed": LetterKind(Occasion.BATCH),
    "nightly": LetterKind(Occasion.NIGHT),
    "digest": LetterKind(Occasion.POST),
    "sample": LetterKind(Occasion.POST),
}


def of_occasion(*occasions: Occasion) -> tuple[str, ...]:
    """The kinds that these bring, by rank."""
    return tuple(name for name, kind in LETTER_KINDS.items() if kind.occasion in occasions)


UNPLANNED = of_occasion(Occasion.TROUBLE)
PLANNED = of_occasion(Occasion.ABSENCE, Occasion.BATCH)
ABSENCES = of_occasion(Occasion.ABSENCE)
OF_A_BATCH = of_occasion(Occasion.BATCH)
