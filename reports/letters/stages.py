"""What cold and heat mean for a vessel at its stage, in words; each claim with its source.

A stage is one of `STAGES`, as a record of a letter names it.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar

from reports import amounts
from reports.language import say, to_say
from reports.letters import record
from reports.letters.blocks import Facts
from reports.letters.known import listed
from reports.letters.sentences import Named, name, names, swimmers_best
from reports.records import Setting

# Slower below 25 °C, active from 4 °C on: New 2002, FAO Fisheries Technical Paper 428, annex 4.
_SLOWER = to_say("Cold slows the hatch, so it comes later; alone it does not usually harm eggs (cysts).")
_SLOWER_REST = to_say("Cold slows what is still to hatch; alone it does not usually harm eggs (cysts).")
# Best at 20 to 25 °C over 13 strains: Vanhaecke, Siddall & Sorgeloos 1984.
_SWIMMERS = to_say("Swimming animals live best at {best}.")
_BEAR_COLD = to_say("How animals bear such cold is not known.")
_HATCH_OVER = to_say("The hatch is all but over: what cold slows now is the animals.")
# From nauplius to adult 30 days at 18 °C, 15 at 30 °C, in brine of 60 g/L: Tuz Lake study, abstract.
_GROW_SLOWLY = to_say("Cold slows growth. Feed more rarely (common practice).")
_DAYS_TO_GROW = to_say("In one study animals took 30 days at {cool} to grow up, and 15 at {warm}.")
# Course notes of Ghent University: under 10 °C, slight air, up to 24 h.
_LEFT_IN_IT = to_say("Cold slows the animals still in the vessel; it does not hurry the harvest.")
# Harvested begins at half of the mark drawn: animals may be left in the rest.
_MOST_DRAWN = to_say("Most of the water was drawn off; what still swims in the rest is not known.")
_NO_BATCH = to_say("No batch is in the care log here.")
_NOTHING_SET = to_say("If eggs (cysts) were set all the same, cold slows their hatch.")
_ENDED = to_say("The batch here is over, so cold harms nothing.")
_WARM_NOTHING_SET = to_say("If eggs (cysts) were set all the same, heat may harm them.")
_CALCULATED_ONCE_SET = to_say("Once a batch is in the care log, water and hatch are calculated, too.")
_WARM_ENDED = to_say("The batch here is over, so heat harms nothing.")
_BEAR_HEAT = to_say("How animals bear such heat is not known.")
# Hot water holds less oxygen: any table of its solubility.
_LESS_OXYGEN = to_say("Hot water holds less oxygen, which is hard on swimming animals.")
_WARM_SWIMMERS = (_LESS_OXYGEN, _SWIMMERS, _BEAR_HEAT)
# What a dark lamp means where cysts are still to hatch, and where animals swim: in a cup, in a vessel that
# holds more and so cools more slowly, and where a heater holds the water. How fast a cup cools: common
# practice, no source.
_DARK_HATCH = (
    to_say(
        "Without the lamp a cup is usually near the room's temperature in 4 to 6 hours, and hatches later."
    ),
    to_say("Without the lamp a larger vessel cools, more slowly than a cup, and hatches later."),
    to_say("The heater holds the warmth; the lamp matters little now."),
)
_DARK_ANIMALS = (
    to_say("Without the lamp a cup is usually near the room's temperature in 4 to 6 hours."),
    to_say("Without the lamp a larger vessel cools, more slowly than a cup."),
    to_say("The heater holds the warmth; the lamp matters little now."),
)
_BRIGHT_AT_FIRST = to_say("Eggs (cysts) need bright light only in their first hours in the water.")
_DARK_NOTHING = to_say("Nothing is known to live here now, so nothing here misses the lamp.")
# True wherever they are said, so said once of all vessels.
_OF_ALL = (
    *(_SWIMMERS, _BEAR_COLD, _BEAR_HEAT, _LESS_OXYGEN, _DAYS_TO_GROW, _BRIGHT_AT_FIRST),
    _CALCULATED_ONCE_SET,
)
# Longer than this a list of names is no help.
_LISTED = 60


@dataclass(frozen=True, slots=True)
class StageWords:
    """Sentences (to be said) about a vessel at a stage; `hatches` whether cysts are still to hatch in it,
    `animals` whether there are some, `drawn` whether some were drawn off: who did knows of the hatch."""

    cold: tuple[str, ...]
    heat: tuple[str, ...]
    hatches: bool = False
    animals: bool = False
    drawn: bool = False


@dataclass(frozen=True, slots=True)
class Means:
    """What something means for vessels, a paragraph for those alike, and what more can be said of all of "
    "them."""

    text: str
    more: Sequence[str]


STAGES: Mapping[str, StageWords] = {
    "nothing set": StageWords(
        (_NO_BATCH, _NOTHING_SET, _CALCULATED_ONCE_SET), (_NO_BATCH, _WARM_NOTHING_SET, _CALCULATED_ONCE_SET)
    ),
    "set": StageWords((_SLOWER,), (), hatches=True),
    "hatching": StageWords(
        (_SLOWER_REST, _SWIMMERS, _BEAR_COLD), (_LESS_OXYGEN,), hatches=True, animals=True
    ),
    "hatched": StageWords((_HATCH_OVER, _SWIMMERS, _BEAR_COLD), _WARM_SWIMMERS, animals=True),
    "growing": StageWords((_GROW_SLOWLY, _SWIMMERS, _DAYS_TO_GROW, _BEAR_COLD), _WARM_SWIMMERS, animals=True),
    "being harvested": StageWords(
        (_LEFT_IN_IT, _SWIMMERS, _BEAR_COLD), _WARM_SWIMMERS, animals=True, drawn=True
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


def over_lines(vessels: Sequence[Staged]) -> list[Facts]:
    """The lines that end a batch in those of these of which most was drawn off."""
    drawn = [record.line(one.vessel, "end") for one in vessels if is_emptied(one)]
    lines = tuple(say("If the batch is over: {command}", command=line) for line in drawn[:1])
    return [Facts("", lines)] if lines else []


def is_all_over(vessels: Sequence[AtStage]) -> bool:
    """Whether the batch in each of these was recorded as ended: then nothing is there to be harmed."""
    return all(one.stage == "ended" for one in vessels)


def cold_means(setting: Setting, vessels: Sequence[Staged]) -> Means:
    """What cold means for each of these, in sentences."""
    return _by_stage(setting, vessels, lambda one: STAGES[one.stage].cold)


def heat_means(setting: Setting, vessels: Sequence[Staged]) -> Means:
    """What heat means for each of these beside stopping cysts."""
    return _by_stage(setting, vessels, lambda one: STAGES[one.stage].heat)


def dark_means(setting: Setting, vessels: Sequence[Lit]) -> Means:
    """What a lamp that is dark in its hours means for each of these."""
    return _by_stage(setting, vessels, _dark)


def _dark(one: Lit) -> tuple[str, ...]:
    words = STAGES[one.stage]
    if not words.hatches and not words.animals:
        return (_MOST_DRAWN,) if words.drawn else (_DARK_NOTHING,)
    cup, larger, heated = _DARK_HATCH if words.hatches else _DARK_ANIMALS
    said = heated if one.has_heater else cup if one.vessel_kind == "cup" else larger
    return (said, _BRIGHT_AT_FIRST) if words.hatches else (said,)


def lives(vessels: Sequence[Staged]) -> bool:
    """Whether cysts or animals are in one of these."""
    return hatches(vessels) or animals(vessels)


def _by_stage(setting: Setting, vessels: Sequence[_S], pick: Callable[[_S], tuple[str, ...]]) -> Means:
    """The sentences for each of these; whom they are about is named where they differ."""
    alike: dict[tuple[str, ...], list[_S]] = {}
    for one in vessels:
        alike.setdefault(tuple(s for s in pick(one) if s not in _OF_ALL), []).append(one)
    of_all = dict.fromkeys(sentence for one in vessels for sentence in pick(one) if sentence in _OF_ALL)
    values = {
        "best": swimmers_best(setting),
        "cool": amounts.temperature(18.0, setting.unit, 0),
        "warm": amounts.temperature(30.0, setting.unit, 0),
    }
    said = {sentences: " ".join(say(sentence, **values) for sentence in sentences) for sentences in alike}
    if len(alike) > 1:
        said = {
            sentences: text and say("In {names}: {text}", names=_named(alike[sentences]), text=text)
            for sentences, text in said.items()
        }
    return Means(" ".join(filter(None, said.values())), [say(sentence, **values) for sentence in of_all])


def _named(vessels: Sequence[Named]) -> str:
    """By name where that is short, as "cup-1 to cup-6"; else as a number."""
    listing = listed([name(one) for one in vessels])
    return listing if len(listing) <= _LISTED else names(vessels)
