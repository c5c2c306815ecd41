"""What helps against each alarm, in few words: for letters that are not about it alone; and against cold that
does not come from the room."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from reports import amounts, words
from reports.language import say, to_say
from reports.letters.blocks import Caution
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
from reports.letters.known import listed
from reports.letters.record import few, salinity
from reports.letters.sentences import mains
from reports.letters.stages import lives
from reports.letters.vessel_kinds import them
from reports.letters.warmth import TemperatureTrouble
from reports.records import Event, NightRecord, Setting, VesselNight

# By condition, the more pressing first. What is near mains goes with the caution for it.
REMEDIES: Mapping[str, str] = {
    "hot": to_say("look whether sun or lamp makes the water hot, and take that away. Do not add ice."),
    "cold": to_say("warm the room, or move what is cold, gently, to a warmer place. Do not add hot water."),
    "probe": to_say(
        "see, with dry hands, whether the probe hangs in the water and its cable is firm. Put right what is "
        "not."
    ),
    "lamp": to_say("look whether the lamp is plugged in and its timer set right."),
    "lamp-stays-on": to_say("set the lamp's timer right."),
    "water": to_say("see where the water stands, and measure before you pour: the figures are below."),
    "salinity": to_say("measure the salt if you can, and write it in the care log: the figures are below."),
    "swing": to_say("move it, gently, away from the window, to a place as warm by night as by day."),
    "cold-ahead": to_say("ask for the room's heating to stay on for the cold hours. Do not add hot water."),
    "hot-ahead": to_say("draw the blind, or move it, gently, out of the sun. Do not add ice."),
}


# The same where a heater is to hold the water: it is looked at first, and its vessel is not moved.
_OF_HEATED: Mapping[str, str] = {
    "hot": to_say(
        "unplug the heater if it is set too high or stays on. Then look whether sun or lamp makes the water "
        "hot, and take that away. Do not add ice."
    ),
    "cold": HEATER,
    "cold-ahead": HEATER,
    "swing": HEATER_SWITCHES,
    "hot-ahead": to_say(
        "look whether the heater is set right and switches off, and draw the blind. Do not move a heated "
        "vessel. Do not add ice."
    ),
}
_NEAR_MAINS = {"hot", "lamp", "lamp-stays-on"}


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do, what to mind for safety meanwhile, and the lines that write it in the care log."""

    what: str
    care: Sequence[Caution] = ()
    record: Sequence[str] = ()


def remedy(condition: str, about: Sequence[Heated]) -> Advice:
    """What helps these against one alarm."""
    helps, live = say(REMEDIES[condition]), heated(about)
    if condition == "water":
        return Advice(unplugged_for(helps, about), pouring_care(about))
    if condition == "salinity":
        return Advice(helps, record=few([salinity(one.vessel) for one in about]))
    if not live or condition not in _OF_HEATED:
        return Advice(helps, [mains()] if condition in _NEAR_MAINS else ())
    if not lives(about):
        return Advice(idle_heaters(about), [mains()])
    if condition == "hot" or not unheated(about):
        return Advice(say(_OF_HEATED[condition]), [mains()])
    return Advice(say("{helps} Do not move a heated vessel.", helps=helps), [mains()])


def against_trouble(record: NightRecord, troubled: Sequence[str]) -> Advice:
    """Where to look first, and what helps there: against an alarm of which no letter told before one of which
    one did, and of those against the more pressing; then where else to look."""
    untold = {event.kind for vessel in record.vessels for event in _untold(vessel)}
    alarms = _untold if untold else _open
    condition = min(
        (event.kind for vessel in record.vessels for event in alarms(vessel)), key=list(REMEDIES).index
    )
    about = [one for one in record.vessels if any(event.kind == condition for event in alarms(one))]
    first = [words.clean(vessel.vessel) for vessel in about]
    helps = remedy(condition, about)
    said = say("look first at {names}. {helps}", names=listed(first), helps=words.capital(helps.what))
    if others := [name for name in troubled if name not in first]:
        said = say("{before} Then look at {names}, too.", before=said, names=listed(others))
    return replace(helps, what=said)


def _open(vessel: VesselNight) -> Sequence[Event]:
    return vessel.open_alarms


def _untold(vessel: VesselNight) -> Sequence[Event]:
    return [event for event in vessel.open_alarms if event.kind not in vessel.written_about]


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
            "if it should be warm, move {them} away from the cold window, wall or floor. The room is at "
            "{room}, and nothing here is harmed by the cold.",
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
        "look how warm the water is. If it is still cold, move {them} away from the cold window, wall or "
        "floor, gently: the room was warm ({room}). Do not add hot water.",
        them=them(troubles),
        room=coldest,
    )
    return now, later
