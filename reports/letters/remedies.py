"""What helps against each trouble, in one sentence: for letters that cannot point to one about it;
and against cold that does not come from the room."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from reports import amounts, words
from reports.language import say, to_say
from reports.letters.freshness import is_fresh
from reports.letters.heaters import (
    HEATER,
    HEATER_SWITCHES,
    Heated,
    heated,
    idle_heaters,
    pouring_care,
    unheated,
    unplugged_for,
)
from reports.letters.page import Caution
from reports.letters.sentences import mains
from reports.letters.stages import lives
from reports.letters.vessel_kinds import them
from reports.letters.warmth import TemperatureTrouble
from reports.records import NightRecord, Setting

# By condition, the more pressing first. Each stands after "look first at {names}: ".
REMEDIES: Mapping[str, str] = {
    "hot": to_say(
        "look, with dry hands, whether the sun or a lamp makes the water hot, and take that away. Do not add "
        "ice."
    ),
    "cold": to_say("warm the room, or move what is cold, gently, to a warmer place. Do not add hot water."),
    "probe": to_say(
        "see, with dry hands, whether the probe hangs in the water and its cable is firm, and put right "
        "what is not."
    ),
    "lamp": to_say(
        "see, with dry hands, whether the lamp is plugged in and its timer set right, and put right what is "
        "not."
    ),
    "lamp-stays-on": to_say("set the lamp's timer right, with dry hands."),
    "water": to_say("see where the water stands, and measure before you pour: the figures are below."),
    "salinity": to_say("measure the salt if you can, and tell the care log: the figures are below."),
    "swing": to_say("move it, gently, away from the window, to a place as warm by night as by day."),
    "cold-ahead": to_say("ask for the room's heating to stay on for the cold hours. Do not add hot water."),
    "hot-ahead": to_say("draw the blind, or move it, gently, out of the sun. Do not add ice."),
}


# The same where a heater is to hold the water: it is looked at first, and its vessel is not moved.
_OF_HEATED: Mapping[str, str] = {
    "hot": to_say(
        "check first, with dry hands, whether the heater is set too high or does not switch off; if so, "
        "unplug it. Then see whether the sun or a lamp makes the water hot, and take that away. Do not add "
        "ice."
    ),
    "cold": HEATER,
    "cold-ahead": HEATER,
    "swing": HEATER_SWITCHES,
    "hot-ahead": to_say(
        "look, with dry hands, whether the heater is set right and switches off as it should, and draw the "
        "blind. Do not move a vessel whose heater is on. Do not add ice."
    ),
}
_NEAR_MAINS = {"hot", "lamp", "lamp-stays-on"}


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do, and what to mind for safety while doing it."""

    what: str
    care: Sequence[Caution] = ()


def remedy(condition: str, about: Sequence[Heated]) -> Advice:
    """What helps these against one trouble; stands after "look first at {names}: "."""
    helps, live = say(REMEDIES[condition]), heated(about)
    if condition == "water":
        return Advice(unplugged_for(helps, about), pouring_care(about))
    if not live or condition not in _OF_HEATED:
        return Advice(helps, [mains()] if condition in _NEAR_MAINS else ())
    if not lives(about):
        return Advice(idle_heaters(about), [mains()])
    if condition == "hot" or not unheated(about):
        return Advice(say(_OF_HEATED[condition]), [mains()])
    return Advice(say("{helps} Do not move a vessel whose heater is on.", helps=helps), [mains()])


def against_trouble(record: NightRecord, troubled: Sequence[str]) -> Advice:
    """Where to look, and for what helps to the letters about it; where there was none, what helps is said."""
    unsaid = {
        event.kind
        for vessel in record.vessels
        for event in vessel.open_alarms
        if event.kind not in vessel.written_about
    }
    if not unsaid:
        letters_say = say(
            "look first at {names}; the letter about each trouble says what helps.",
            names=words.joined(troubled),
        )
        return Advice(letters_say)
    condition = min(unsaid, key=list(REMEDIES).index)
    about = [
        vessel
        for vessel in record.vessels
        if condition not in vessel.written_about
        and any(event.kind == condition for event in vessel.open_alarms)
    ]
    named = words.joined([words.clean(vessel.vessel) for vessel in about])
    helps = remedy(condition, about)
    said = say("look first at {names}: {helps}", names=named, helps=words.begun(helps.what))
    return replace(helps, what=said)


def out_of_the_cold(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> tuple[str, str] | None:
    """Against cold that is not the room's, now and when somebody is back; None unless the room of
    each vessel without a heater is read warmer than the vessel's limit."""
    troubles = [one for one in troubles if not one.has_heater]
    rooms = [one.room_c for one in troubles if one.room_c is not None and is_fresh(setting, one.room_c)]
    limits_c = [one.limit_c for one in troubles]
    if not troubles or len(rooms) < len(troubles):
        return None
    if not all(room.value > limit_c for room, limit_c in zip(rooms, limits_c, strict=True)):
        return None
    coldest = amounts.temperature(min(room.value for room in rooms), setting.unit)
    if not lives(troubles) and all(one.stage != "nothing set" for one in troubles):
        harmless = say(
            "if it should be warm there, move {them} away from the cold window, wall or floor: the room is "
            "at {room}. Nothing here is harmed by the cold.",
            them=them(troubles),
            room=coldest,
        )
        return harmless, harmless
    now = say(
        "move {them} away from the cold window, wall or floor, gently: the room is warm ({room}). Do not "
        "add hot water.",
        them=them(troubles),
        room=coldest,
    )
    later = say(
        "if the water is still cold, move {them} away from the cold window, wall or floor, gently: the room "
        "was warm ({room}). Do not add hot water.",
        them=them(troubles),
        room=coldest,
    )
    return now, later
