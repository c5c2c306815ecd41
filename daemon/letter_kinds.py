"""The kinds of letters: rank, what brings one, whether it waits, and at which stages it is written.

The one table of them. The words of a kind stand in `reports.letters.kinds`, a row there for each row here.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from daemon.stages import KEEPING_WATER, RUNNING, Stage


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
    and until then the nightly letter is enough. `may_wake`: who asks for it is told at any hour. `stages` are
    those of a vessel in which it is written about it: at the others it would say what is not so; none where
    it is not about vessels."""

    occasion: Occasion
    waits_for_somebody: bool = False
    may_wake: bool = False
    stages: frozenset[Stage] = frozenset(Stage)


_NONE: frozenset[Stage] = frozenset()
_NOT_HARVESTED = frozenset({Stage.SET, Stage.HATCHING, Stage.HATCHED, Stage.GROWING})

# In order of rank: the more urgent first. What waits together is said by the first, the others at its foot.
LETTER_KINDS: Mapping[str, LetterKind] = {
    "hot": LetterKind(Occasion.TROUBLE, may_wake=True),
    "cold": LetterKind(Occasion.TROUBLE, may_wake=True),
    "probe": LetterKind(Occasion.TROUBLE, waits_for_somebody=True, may_wake=True),
    "outage": LetterKind(Occasion.TROUBLE, waits_for_somebody=True, may_wake=True),
    "lamp": LetterKind(Occasion.TROUBLE, may_wake=True),
    "water": LetterKind(Occasion.TROUBLE, waits_for_somebody=True, stages=KEEPING_WATER),
    "swing": LetterKind(Occasion.TROUBLE, waits_for_somebody=True),
    "storage": LetterKind(Occasion.TROUBLE, waits_for_somebody=True, stages=_NONE),
    "clock": LetterKind(Occasion.TROUBLE, waits_for_somebody=True, stages=_NONE),
    "leave": LetterKind(Occasion.ABSENCE, stages=RUNNING),
    "return": LetterKind(Occasion.ABSENCE, stages=RUNNING),
    "harvest": LetterKind(Occasion.BATCH, stages=_NOT_HARVESTED),
    # A hatch that is overdue is believed to be over long ago, and nobody recorded any.
    "hatch": LetterKind(Occasion.BATCH, stages=_NOT_HARVESTED),
    "feed": LetterKind(Occasion.BATCH, stages=frozenset({Stage.GROWING, Stage.BEING_HARVESTED})),
    "nightly": LetterKind(Occasion.NIGHT),
    "digest": LetterKind(Occasion.POST, stages=_NONE),
    "sample": LetterKind(Occasion.POST, stages=_NONE),
}


def of_occasion(*occasions: Occasion) -> tuple[str, ...]:
    """The kinds that these bring, by rank."""
    return tuple(name for name, kind in LETTER_KINDS.items() if kind.occasion in occasions)


UNPLANNED = of_occasion(Occasion.TROUBLE)
PLANNED = of_occasion(Occasion.ABSENCE, Occasion.BATCH)
ABSENCES = of_occasion(Occasion.ABSENCE)
OF_A_BATCH = of_occasion(Occasion.BATCH)
