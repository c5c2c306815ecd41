"""What to feed, what to look for first, and the lines that record it."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Protocol

from reports import amounts, words
from reports.language import say, to_say
from reports.letters import record
from reports.letters.sentences import Named, into_each, look_lines

# No authority gives a classroom dose. A pinch for a cup's quarter of a litre, and more water by its volume:
# common practice, no source.
_PINCH_FOR_ML = 250.0
# For the line to copy, where nobody weighs food: 20,000 cysts of 3.64 µg, the pinch of the care log, are
# 0.07 g, and flakes are lighter. A guess, no source.
_PINCH_G = 0.05

# An action that names more vessels with their portions is too long to read in one go.
_MOST_IN_A_SENTENCE = 2
_FEED = to_say(
    "look whether you can see through the water. If so, give food: {portions}. If it is cloudy, do not feed."
)
_FEED_SMALL = to_say(
    "look whether you can see through the water. If so, give food: {portions}. Give no more: nobody will "
    "look for a day or more. If it is cloudy, do not feed."
)
_LOOK_FIRST = to_say(
    "look first whether animals swim. Where none do, or the water is cloudy, do not feed. Where some do and "
    "the water is clear, give food: {portions}."
)
_LOOK_FIRST_SMALL = to_say(
    "look first whether animals swim. Where none do, or the water is cloudy, do not feed. Where some do and "
    "the water is clear, give food: {portions}. Give no more: nobody will look for a day or more."
)


class Hungry(Named, Protocol):
    """A vessel in which a feed is due."""

    @property
    def volume_ml(self) -> float:
        """The water in it, in one cup of several."""

    @property
    def seen(self) -> bool:
        """Whether somebody recorded animals of this batch: food where none swim spoils the water."""


@dataclass(frozen=True, slots=True)
class FeedDue:
    """A feed that is due; as `Hungry` has it."""

    vessel: str
    count: int
    volume_ml: float
    seen: bool


def is_unseen(vessels: Sequence[Hungry]) -> bool:
    """Whether nobody recorded animals in one of these."""
    return not all(one.seen for one in vessels)


def portion(one: Hungry, *, small: bool) -> str:
    """How much to give into it, or into each cup: "a pinch", "8 pinches"; half of it where `small`."""
    pinches = _pinches(one, small=small)
    if pinches < 1.0:
        return say("half a pinch")
    return say("a pinch") if pinches < 2.0 else say("{count} pinches", count=int(pinches))


def _pinches(one: Hungry, *, small: bool) -> float:
    """Whole pinches, or half of one; rather too few than too many."""
    whole = max(round(one.volume_ml / _PINCH_FOR_ML), 1) if isfinite(one.volume_ml) else 1
    if not small:
        return float(whole)
    return 0.5 if whole == 1 else float(whole // 2)


def portion_g(one: Hungry) -> str:
    """The same in g as a guess, a cup, as the care log takes it: "0.05"."""
    return _grams(one, small=False)


def _grams(one: Hungry, *, small: bool) -> str:
    return amounts.plain_number(_PINCH_G * _pinches(one, small=small), 3).rstrip("0").removesuffix(".")


def portion_of_all(vessels: Sequence[Hungry], *, small: bool) -> str | None:
    """ "a pinch", "a pinch a cup" where that is true of all of these; None where it is not."""
    portions = {portion(one, small=small) for one in vessels}
    if len(portions) > 1 or len({one.count > 1 for one in vessels}) > 1:
        return None
    (alike,) = portions
    return say("{portion} a cup", portion=alike) if vessels[0].count > 1 else alike


def portions(vessels: Sequence[Hungry], *, small: bool) -> str:
    """ "a pinch a cup" or "a pinch into each" where that is true of all, else into which how much."""
    alike = portion_of_all(vessels, small=small)
    if alike is not None:
        several = len(vessels) > 1 and vessels[0].count == 1
        return say("{portion} into each", portion=alike) if several else alike
    if len(vessels) > _MOST_IN_A_SENTENCE:
        return say("as listed")
    return words.joined(
        [
            say("{portion} into {where}", portion=portion(one, small=small), where=into_each(one))
            for one in vessels
        ]
    )


def feed_advice(vessels: Sequence[Hungry], *, small: bool) -> str:
    """What to do, as an action; where nobody recorded animals, look first."""
    if is_unseen(vessels):
        sentence = _LOOK_FIRST_SMALL if small else _LOOK_FIRST
    else:
        sentence = _FEED_SMALL if small else _FEED
    return say(sentence, portions=portions(vessels, small=small))


def feed_record(one: Hungry, *, small: bool) -> tuple[str, ...]:
    """The lines for the care log: after a look that found none, and after a feed."""
    none = () if one.seen else look_lines(one.vessel, begun=True)[:1]
    command = record.line(one.vessel, "feed", _grams(one, small=small))
    fed = (
        say("In g a cup, as a guess: {command}", command=command)
        if one.count > 1
        else say("In g, as a guess: {command}", command=command)
    )
    return (*none, fed)
