"""What letters ask of a heater that is to hold a vessel's water, and the care that it takes.

Nobody draws off, pours or moves beside a live heater; one whose vessel is emptied is to be unplugged.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar

from reports.language import say, to_say
from reports.letters.blocks import Caution
from reports.letters.sentences import DRY_HANDS, KEEP_AWAY, Named, mains, names
from reports.letters.stages import Staged, lives

# Where the batch is over, or its animals are drawn off, a heater has nothing to keep warm.
_OVER = ("harvested", "ended")
_ASK_ABOUT_HEATER = to_say("Nobody has to come in. An adult who knows the heater can look sooner.")
# Each of these goes with `mains`, which asks for dry hands and not to reach over the water.
# Against cold: nobody moves a heated vessel, nor asks for the room's heating instead.
HEATER = to_say("look whether the heater is plugged in, on and set right. Do not move a heated vessel.")
HEATER_BEFORE_GOING = to_say(
    "before you go, look whether the heater is plugged in, on and set right. Do not move a heated vessel."
)
# Against water that swings, and against heat to come.
HEATER_SWITCHES = to_say("look whether the heater is set right and works. Do not move a heated vessel.")
_SWITCHES_BESIDES = to_say(
    "Look whether the heater of {names} is set right and switches on and off. Do not move a heated vessel."
)
_HOLDS_BESIDES = to_say(
    "The heater of {names} should hold more than that: check plug, switch and setting. Do not move a heated "
    "vessel."
)
# A heater that is stuck on is the likeliest cause; whose heater may be on is not moved.
_STUCK = to_say("unplug the heater of {names} if it is set too high or stays on.")
_SWITCHES_OFF = (
    to_say(
        "before you go, look whether the heater of {names} is set right and switches off. Do not move a "
        "heated vessel."
    ),
    to_say(
        "look first whether the heater of {names} is set right and switches off. Do not move a heated vessel."
    ),
)
_HEATER_IF_SET = to_say(
    "see that the heater is unplugged if no eggs (cysts) are set here. If some are, look whether it is "
    "plugged in, on and set right."
)
_ONLY_UNDER_WATER = to_say("A heater may be on only while the water covers it.")
UNPLUG = to_say(
    "see, with dry hands, that the heater of {names} is unplugged. Out of the water a heater gets "
    "dangerously hot."
)
UNPLUG_STEP = to_say("see, with dry hands, that the heater of {names} is unplugged")
_UNPLUG_BESIDES = to_say(
    "See, with dry hands, that the heater of {names} is unplugged. Out of the water a heater gets "
    "dangerously hot."
)
_UNPLUG_TO_POUR = to_say(
    "first switch off and unplug the heater of {names}. Then {what} Plug it in again only when the water "
    "covers it."
)


@dataclass(frozen=True, slots=True)
class Beside:
    """What is asked of heaters beside the one thing to do, and what to mind for safety meanwhile."""

    asked: tuple[str, ...] = ()
    care: tuple[Caution, ...] = ()


class HasHeater(Named, Protocol):
    """Anything about a vessel that may have a heater."""

    @property
    def has_heater(self) -> bool:
        """Whether a heater is to hold its water."""


class Heated(HasHeater, Staged, Protocol):
    """The same, at a stage."""


_One = TypeVar("_One", bound=HasHeater)
_OneAtStage = TypeVar("_OneAtStage", bound=Heated)


def heated(vessels: Sequence[_One]) -> list[_One]:
    """Those with a heater."""
    return [one for one in vessels if one.has_heater]


def unheated(vessels: Sequence[_One]) -> list[_One]:
    """Those without: only they may be moved."""
    return [one for one in vessels if not one.has_heater]


def to_unplug(vessels: Sequence[_OneAtStage]) -> list[_OneAtStage]:
    """Those whose heater has nothing to keep warm any more."""
    return [one for one in vessels if one.has_heater and one.stage in _OVER]


def to_heat(vessels: Sequence[_OneAtStage]) -> list[_OneAtStage]:
    """Those whose heater is to hold the water."""
    return [one for one in vessels if one.has_heater and one.stage not in _OVER]


def idle_heaters(vessels: Sequence[Heated]) -> str:
    """What to do about heaters where nothing is known to live; at least one vessel has one."""
    if idle := to_unplug(vessels):
        return say(UNPLUG, names=names(idle))
    return say(_HEATER_IF_SET)  # there may be what nobody recorded


def unplug_besides(vessels: Sequence[Heated]) -> tuple[str, ...]:
    """What is asked of the heaters among these that are to be unplugged, beside the one thing to do."""
    idle = to_unplug(vessels)
    return (say(_UNPLUG_BESIDES, names=names(idle)),) if idle else ()


def heaters_besides(vessels: Sequence[Heated]) -> Beside:
    """What is asked of heaters in the cold, and the care that they take."""
    if not heated(vessels) or not lives(vessels):
        return _beside(vessels)
    working = to_heat(vessels)
    some = working if len(working) < len(vessels) else []
    asked = [say(_HOLDS_BESIDES, names=names(some))] if some else []
    if any(one.stage == "being harvested" for one in working):
        asked.append(say(_ONLY_UNDER_WATER))
    return _beside(vessels, *asked, *unplug_besides(vessels))


def switches_besides(vessels: Sequence[Heated]) -> Beside:
    """What is asked of heaters where water swings, and the care that they take."""
    working = to_heat(vessels)
    some = working if unheated(vessels) else []
    asked = [say(_SWITCHES_BESIDES, names=names(some))] if some else []
    return _beside(vessels, *asked, *unplug_besides(vessels))


def _beside(vessels: Sequence[Heated], *asked: str) -> Beside:
    return Beside(asked, (mains(),)) if heated(vessels) else Beside()


def stuck_first(vessels: Sequence[Heated], after: str) -> str:
    """An action against heat, after a look at the heaters among these."""
    return _first(_STUCK, vessels, after)


def switches_off_first(vessels: Sequence[Heated], after: str, stays: int = 1) -> str:
    """The same of heat to come; `stays` is 0 for who goes before it comes. `after` may be empty."""
    return _first(_SWITCHES_OFF[stays], vessels, after)


def _first(sentence: str, vessels: Sequence[Heated], after: str) -> str:
    working = to_heat(vessels)
    if not working:
        return after
    look = say(sentence, names=names(working))
    return say("{before} Then {after}", before=look, after=after) if after else look


def whom_to_ask(vessels: Sequence[Heated], otherwise: str) -> str:
    """Whom to ask while nobody is there: about the heater, where that is the one thing to look at."""
    by_heater = not unheated(vessels) or (heated(vessels) and not lives(vessels))
    return _ASK_ABOUT_HEATER if by_heater else otherwise


def unplugged_for(what: str, poured: Sequence[HasHeater]) -> str:
    """An action that pours into these or takes water out: no heater is live meanwhile."""
    live = heated(poured)
    return say(_UNPLUG_TO_POUR, names=names(live), what=what) if live else what


def pouring_care(poured: Sequence[HasHeater], beside: Sequence[Caution] = ()) -> list[Caution]:
    """What to mind for safety while pouring into these; nothing where nothing is poured.

    `beside` is what is minded already in the same letter: no care is said twice.
    """
    if not poured:
        return []
    if heated(poured):
        return [mains()]
    return [Caution(say(KEEP_AWAY if mains() in beside else DRY_HANDS))]
