"""What cold and heat mean for a vessel at its stage, in words; each claim with its source.

A stage is one of `STAGES`, as a record of a letter names it.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar

from reports import amounts
from reports.language import say, to_say
from reports.letters.sentences import Named, names, swimmers_best
from reports.records import Setting

# Slower below 25 °C, active from 4 °C on: New 2002, FAO Fisheries Technical Paper 428, annex 4.
_SLOWER = to_say(
    "Cold slows the hatch, so it comes later. Cold alone does not usually harm cysts (the eggs)."
)
_SLOWER_REST = to_say(
    "Cold slows what is still to hatch, so it comes later. Cold alone does not usually harm cysts (the eggs)."
)
# Best at 20 to 25 °C over 13 strains: Vanhaecke, Siddall & Sorgeloos 1984.
_SWIMMERS = to_say(
    "Animals that already swim live best at {best}; how well they stand such cold is not known here."
)
_HATCH_OVER = to_say("The hatch is all but over: what cold slows now is the animals, not the hatch.")
# From nauplius to adult 30 days at 18 °C, 15 at 30 °C, in brine of 60 g/L: Tuz Lake study, abstract.
_GROW_SLOWLY = to_say(
    "The animals grow more slowly in cold water: in one study (Tuz Lake) they took 30 days at {cool} to grow "
    "up, and 15 at {warm}. Where it is cooler, feed more rarely: that is common practice, no source."
)
# Course notes of Ghent University: under 10 °C, slight air, up to 24 h.
_LEFT_IN_IT = to_say("Cold slows the animals that are still in the vessel; it does not hurry the harvest.")
# Harvested begins at half of the mark drawn: animals may be left in the rest.
_MOST_DRAWN = to_say(
    "Most of the water was drawn off. What still swims in the rest is not known here; if the batch is over, "
    "tell it."
)
_NOTHING_SET = to_say(
    "No batch was told here. If cysts were set all the same, cold slows their hatch. Tell the care log of "
    "them: then water and hatch are calculated, too."
)
_ENDED = to_say("The batch here is over, so cold harms nothing: this tells of the room and the water.")
_WARM_NOTHING_SET = to_say(
    "No batch was told here. If cysts were set all the same, heat may harm them. Tell the care log of "
    "them: then water and hatch are calculated, too."
)
_WARM_ENDED = to_say("The batch here is over, so heat harms nothing: this tells of the room and the water.")
_WARM_SWIMMERS = to_say(
    "Animals that already swim live best at {best}; how well they stand such heat is not known here."
)
# Hot water holds less oxygen: any table of its solubility.
_LESS_OXYGEN = to_say("Hot water holds less oxygen, so animals that swim have a harder time.")
# What a dark lamp means where cysts are still to hatch, and where animals swim: in a cup, in a vessel that
# holds more and so cools more slowly, and where a heater holds the water.
_DARK_HATCH = (
    to_say(
        "Cysts need bright light only in their first hours in the water. After that the lamp matters for its "
        "warmth: without it a cup is usually near the room's temperature within 4 to 6 hours, and a cooler "
        "cup hatches later."
    ),
    to_say(
        "Cysts need bright light only in their first hours in the water. After that the lamp matters for its "
        "warmth. A larger vessel cools more slowly than a cup, but cooler water hatches later."
    ),
    to_say(
        "Cysts need bright light only in their first hours in the water. After that the heater holds the "
        "warmth, and the lamp matters little."
    ),
)
_DARK_ANIMALS = (
    to_say(
        "What counts now is the lamp's warmth: without it a cup is usually near the room's temperature "
        "within 4 to 6 hours."
    ),
    to_say("What counts now is the lamp's warmth. A larger vessel cools more slowly than a cup."),
    to_say("The heater holds the warmth; the lamp matters little now."),
)
_DARK_NOTHING = to_say("Nothing is known to live here now, so nothing here misses the lamp.")


@dataclass(frozen=True, slots=True)
class StageWords:
    """Sentences (to be said) about a vessel at a stage; `hatches` whether cysts are still to hatch in it,
    `animals` whether there are some, `drawn` whether some were drawn off: who did knows of the hatch."""

    cold: tuple[str, ...]
    heat: tuple[str, ...]
    hatches: bool = False
    animals: bool = False
    drawn: bool = False


STAGES: Mapping[str, StageWords] = {
    "nothing set": StageWords((_NOTHING_SET,), (_WARM_NOTHING_SET,)),
    "set": StageWords((_SLOWER,), (), hatches=True),
    "hatching": StageWords((_SLOWER_REST, _SWIMMERS), (_LESS_OXYGEN,), hatches=True, animals=True),
    "hatched": StageWords((_HATCH_OVER, _SWIMMERS), (_WARM_SWIMMERS, _LESS_OXYGEN), animals=True),
    "growing": StageWords((_GROW_SLOWLY, _SWIMMERS), (_WARM_SWIMMERS, _LESS_OXYGEN), animals=True),
    "being harvested": StageWords(
        (_LEFT_IN_IT, _SWIMMERS), (_WARM_SWIMMERS, _LESS_OXYGEN), animals=True, drawn=True
    ),
    "harvested": StageWords((_MOST_DRAWN,), (_MOST_DRAWN,), drawn=True),
    "ended": StageWords((_ENDED,), (_WARM_ENDED,)),
}


class AtStage(Protocol):
    """Anything at a stage."""

    @property
    def stage(self) -> str:
        """One of `STAGES`."""


class Staged(AtStage, Named, Protocol):
    """Anything that is about one vessel at its stage."""


_S = TypeVar("_S", bound=Staged)


class Lit(Staged, Protocol):
    """The same of a vessel that has a lamp."""

    @property
    def vessel_kind(self) -> str:
        """One of `reports.letters.vessel_kinds.KINDS`."""

    @property
    def has_heater(self) -> bool:
        """Whether a heater is to hold its water."""


def hatches(vessels: Sequence[Staged]) -> bool:
    """Whether cysts are still to hatch in one of these."""
    return any(STAGES[one.stage].hatches for one in vessels)


def animals(vessels: Sequence[Staged]) -> bool:
    """Whether there are animals in one of these."""
    return any(STAGES[one.stage].animals for one in vessels)


def is_hatch_ahead(one: AtStage) -> bool:
    """Whether a hatch may be told of as one to look for: nobody drew animals off."""
    return not STAGES[one.stage].drawn


def is_emptied(one: AtStage) -> bool:
    """Whether the animals were drawn off."""
    return STAGES[one.stage].drawn and not STAGES[one.stage].animals


def left_over(vessels: Sequence[Staged]) -> list[str]:
    """What is not known of the rest in those of these of which most was drawn off; nothing where none was."""
    return [say(_MOST_DRAWN)] if any(is_emptied(one) for one in vessels) else []


def is_all_over(vessels: Sequence[AtStage]) -> bool:
    """Whether the batch in each of these was recorded as ended: then nothing is there to be harmed."""
    return all(one.stage == "ended" for one in vessels)


def cold_means(setting: Setting, vessels: Sequence[Staged]) -> list[str]:
    """What cold means for each of these, in sentences."""
    return _by_stage(setting, vessels, lambda one: STAGES[one.stage].cold)


def heat_means(setting: Setting, vessels: Sequence[Staged]) -> list[str]:
    """What heat means for each of these beside stopping cysts."""
    return _by_stage(setting, vessels, lambda one: STAGES[one.stage].heat)


def dark_means(setting: Setting, vessels: Sequence[Lit]) -> list[str]:
    """What a lamp that is dark in its hours means for each of these."""
    return _by_stage(setting, vessels, _dark)


def _dark(one: Lit) -> tuple[str, ...]:
    words = STAGES[one.stage]
    if not words.hatches and not words.animals:
        return (_MOST_DRAWN,) if words.drawn else (_DARK_NOTHING,)
    cup, larger, heated = _DARK_HATCH if words.hatches else _DARK_ANIMALS
    if one.has_heater:
        return (heated,)
    return (cup,) if one.vessel_kind == "cup" else (larger,)


def lives(vessels: Sequence[Staged]) -> bool:
    """Whether cysts or animals are in one of these."""
    return hatches(vessels) or animals(vessels)


def _by_stage(setting: Setting, vessels: Sequence[_S], pick: Callable[[_S], tuple[str, ...]]) -> list[str]:
    """The sentences for each of these; whom they are about is named where they differ."""
    alike: dict[tuple[str, ...], list[_S]] = {}
    for one in vessels:
        alike.setdefault(pick(one), []).append(one)
    values = {
        "best": swimmers_best(setting),
        "cool": amounts.temperature(18.0, setting.unit, 0),
        "warm": amounts.temperature(30.0, setting.unit, 0),
    }
    said = {sentences: [say(sentence, **values) for sentence in sentences] for sentences in alike}
    if len(alike) == 1:
        return next(iter(said.values()))
    return [
        say("In {names}: {text}", names=names(alike[sentences]), text=" ".join(text))
        for sentences, text in said.items()
        if text
    ]
