"""What helps against each trouble, in one sentence: for letters that cannot point to one about it;
and against cold that does not come from the room."""

from collections.abc import Mapping, Sequence

from reports import amounts, words
from reports.language import say, to_say
from reports.letters.freshness import is_fresh
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
# Against cold where a heater is to hold the water: nobody moves it, nor asks for the room's heating instead.
HEATER = to_say(
    "look, with dry hands, whether the heater is plugged in, switched on and set right. Do not reach into "
    "the water, and do not move a vessel whose heater is on."
)


def against_trouble(record: NightRecord, troubled: Sequence[str]) -> str:
    """Where to look, and for what helps to the letters about it; where there was none, what helps is said."""
    unsaid = {
        event.kind
        for vessel in record.vessels
        for event in vessel.open_alarms
        if event.kind not in vessel.written_about
    }
    if not unsaid:
        return say(
            "look first at {names}; the letter about each trouble says what helps.",
            names=words.joined(troubled),
        )
    condition = min(unsaid, key=list(REMEDIES).index)
    about = [
        vessel
        for vessel in record.vessels
        if condition not in vessel.written_about
        and any(event.kind == condition for event in vessel.open_alarms)
    ]
    helps = REMEDIES[condition]
    if condition in ("cold", "cold-ahead") and all(vessel.has_heater for vessel in about):
        helps = HEATER
    named = words.joined([words.clean(vessel.vessel) for vessel in about])
    return say("look first at {names}: {helps}", names=named, helps=words.begun(say(helps)))


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
