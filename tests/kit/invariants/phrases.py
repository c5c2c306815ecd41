"""The words that the invariants look for in letters, each with the sentence of the reports it stands in.

A test holds that each sentence is still in the reports' source: so a change of words cannot make the guard
blind. Where words change, change them here.
"""

import re
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Phrase:
    """A pattern; `sources` are pieces of which each must stand in a sentence of the reports."""

    pattern: re.Pattern[str]
    sources: tuple[str, ...]


def _phrase(pattern: str, *sources: str) -> Phrase:
    return Phrase(re.compile(pattern), sources)


MOMENT = (
    r"(?:today|tomorrow|yesterday|"
    r"(?:on )?(?:Mon|Tues|Wednes|Thurs|Fri|Satur|Sun)day \d+ [A-Z][a-z]+(?: \d{4})?) at \d\d:\d\d"
)
_NUMBER = r"(−?\d+(?:\.\d+)?)"
_ML = rf"{_NUMBER} mL"
_TEMPERATURE = rf"{_NUMBER} °([CF])"

DO_THIS = _phrase(r"Do this:", "Do this:")
ALL_WELL = _phrase(r"\ball well\b", "all well")
WELL_NOW = _phrase(r"\bwell now\b", "well now, {count} alarm before")
NOTHING = _phrase(r"nothing\b", "nothing. All is well as far as the station can see.", "nothing now: ")
PUT_ASIDE = _phrase(r"shelved|[Ss]ilenced|put aside|out of service|not watched|nothing (?:is )?watched")
UNWATCHED = _phrase(r"(?i)not watched|nothing (?:is )?watched")
ALARMS_OPEN = _phrase(r"(\d+) alarms? open", "{count} alarms open")

POUR_SHORT = _phrase(
    rf"[Pp]our (?:up to )?{_ML}( a cup)?",
    "pour {amount} a cup",
    "pour up to {amount} a cup",
    "pour {amount}",
    "pour up to {amount}",
)
FILL = _phrase(
    rf"^Pour: {_ML}(?:.* of plain water.*| a cup)?\.$",
    "Pour",
    "{amount} of plain water, ending {level}",
    "{amount} a cup",
)
FILL_ENDS = _phrase(
    r"ending (at the mark|\d+ mL)|^Pour: [\d.]+ mL\.$", "{amount} of plain water, ending {level}"
)
INTO_EACH = _phrase(
    rf"{_ML}(?: \([^)]*\))? into (each cup of )?([\w.-]+)", "{amount} into {where}", "each cup of {name}"
)
# What is true of each vessel that the letter is about, which it does not name again.
INTO_ALL = _phrase(
    rf"(?:Stop there: that is|Pour no more than) {_ML}",
    "Stop there: that is {pour}.",
    "Stop there: that is {amount}.",
    "Pour no more than {amount}.",
)
TO_THE_MARK = _phrase(
    r"pour plain water, not salt water,(?: slowly)? up to the mark",
    "pour plain water, not salt water, up to the mark",
    "pour plain water, not salt water, slowly up to the mark",
)
PROBE_FIRST = _phrase(
    r"whether the probe (?:in .+? )?hangs in the water",
    "see, with dry hands, whether the probe hangs in the water and its cable is firm.",
    "look, with dry hands, whether the probe in {names} hangs in the water, its cable firm.",
)
POUR_LISTED = _phrase(rf"^Pour plain water: {_ML}", "Pour plain water")
TAKEN_OUT = _phrase(rf"^Take out: {_ML}", "Take out")
NIGHTLY_FILL = _phrase(r"fill (.+) to the mark with plain water", "fill {names} to the mark with plain water")
TAKE_OUT = _phrase(r"take some out", "The water may stand over the brim", "take some out")
LOOK_WHETHER_AT_MARK = _phrase(r"look once whether the water stands at the mark", "water stands at the mark")

NOW_SUBJECT = _phrase(rf"^(Cold|Hot): {_TEMPERATURE}", "Cold: {water}", "Hot: {water}")
AHEAD_SUBJECT = _phrase(
    rf"^(Cold|Hot) (.+?): about {_TEMPERATURE}", "Cold {when}: about {value}", "Hot {when}: about {value}"
)
WATER_NOW = _phrase(rf"Water(?: now)?: {_TEMPERATURE}(?=[.;])", "Water now")
LIGHT_NOW = _phrase(rf"Light now: {_NUMBER} (lux|%)", "Light now")
LIMIT = _phrase(rf"(?:Limit:|Passes) {_TEMPERATURE}", "Limit", "Passes {limit}")
TO_COME = _phrase(
    rf"(Coldest|Hottest) \(forecast\): (?:most likely |about )?{_TEMPERATURE}",
    "Coldest (forecast)",
    "Hottest (forecast)",
    "most likely {likely} ({low} to {high})",
)
FORESEEN = _phrase(rf"^When: ({MOMENT}) to ({MOMENT}|\d\d:\d\d)", "When", "{began} to {ended}")
BEYOND_SINCE = _phrase(
    r"^(Below|Above) (?:the limit|−?[\d.]+ °[CF]) since: ",
    "Below the limit since",
    "Above the limit since",
    "Below {limit} since",
    "Above {limit} since",
)
# Where only a part of the time since then was beyond the limit, how much of it stands there, too.
SINCE_ALL = _phrase(rf"since: ({MOMENT})\.$", "{when}, {beyond} of {whole} hours")
STILL_OPEN = _phrase(rf", (?:first )?since ({MOMENT})\. Still open", "since {when}. Still open.")
OVER_NOW = _phrase(
    r"too (cold|warm).* to .*\. Over now",
    "{text}, {span}. Over now.",
    "the water was too cold",
    "the water was too warm",
)
NOTHING_URGENT = _phrase(r"nothing urgent", "nothing urgent")

LAMP_TIMER = _phrase(r"^Lamp on: (.+?)\.$", "Lamp on")
LAMP_HOURS = _phrase(r"Lamp hours: (.+?)\.$", "Lamp hours")
LAMP_OFF = _phrase(r"^Lamp off:", "Lamp off: {light}")
LAMP_STAYS = _phrase(r"^Lamp still on\?", "Lamp still on? {light}")
SWITCH_OFF = _phrase(r"switch the lamp off", "switch the lamp off")

WHEN_BACK = _phrase(rf"when you are back, ({MOMENT})", "when you are back, {when}, {what}")
NEXT_IN_ROOM = _phrase(r"when you are next in the room", "when you are next in the room, {what}")
BEFORE_YOU_GO = _phrase(r"before you go", "before you go, {what}.")
EMPTY_FROM = _phrase(
    rf"Nobody is in the room from ({MOMENT}) until ({MOMENT})",
    "Nobody is in the room from {began} until {ended}",
)
NEXT_LETTER = _phrase(rf"Next letter: ({MOMENT})", "Next letter: {when}, or sooner if needed.")
IF_A_BATCH_RUNS = _phrase(
    r", if a batch runs then", "Next letter: {when}, if a batch runs then, or sooner if needed."
)
NOBODY_SINCE = _phrase(rf"Nobody was there since ({MOMENT})\.", "Nobody was there since {began}.")
WAS_OFF = _phrase(
    rf"The station was off(?:, perhaps)? from ({MOMENT}) to ({MOMENT})",
    "The station was off from {began} to {ended}",
    "The station was off, perhaps from {began} to {ended}",
)
SET_WHEN = _phrase(rf"^Set:? ({MOMENT})", "Set")

LEVEL = _phrase(r"^Water in (?:the vessel|each cup): (.+?)\.$", "Water in each cup")
SALT = _phrase(r"^Salt in a kg of brine: (.+?)\.$", "Salt in a kg of brine")
HATCHED = _phrase(r"^Hatched[^:]*: (.+?)\.$", "Hatched, of those that will", "Hatched")
FIGURES = _phrase(
    r"^(?:Water in (?:the vessel|each cup)|Salt[^:]*|Hatched[^:]*|Half hatched|Evaporates|Low mark):"
    r"(?! (?:–|no batch))",
    "Low mark",
    "Half hatched",
    "Evaporates",
)
NO_BATCH = _phrase(r"no batch running", "no batch running")
LOOK_FIRST = _phrase(r"look first at (.+?)(?:[;:]|\.(?= |$))", "look first at {names}")

SLOWER = _phrase(r"Cold slows the hatch|a cool hatch comes later", "Cold slows the hatch, so it comes later")
LATER_IF_COLD = _phrase(
    r"If the water of (.+?) gets too cold, the hatch comes later",
    "If the water of {names} gets too cold, the hatch comes later.",
)
LOOK_FOR_SWIMMERS = _phrase(r"look for swimmers", "look for swimmers with a torch from the side")
HATCH_NEAR = _phrase(r"The hatch in .+ is (near|under way|nearly done)", "The hatch in {names} is near")
HATCH_LATER = _phrase(
    r"comes later than we expected|no swimmers are noted",
    "comes later than we expected",
    "no swimmers are noted",
)
LATER_BY = _phrase(r"Hatch later by \(calculated\): ([^–].*?)\.$", "Hatch later by (calculated)")
COLDEST_READ = _phrase(rf"^Water coldest: {_TEMPERATURE}, ({MOMENT})", "Water coldest")
WARMEST_READ = _phrase(rf"^Water warmest: {_TEMPERATURE}, ({MOMENT})", "Water warmest")
LOWEST_TO_HIGHEST = _phrase(rf"^Lowest to highest: {_NUMBER} to {_TEMPERATURE}", "Lowest to highest")
NIGHT_SPAN = _phrase(rf", {_NUMBER} to {_TEMPERATURE}", "{found}, {low} to {high}")
STANDS_IN_WATER = _phrase(
    r"probes? stands? in salt water", "The probe stands in salt water", "The water probes stand in salt water"
)
WHILE_AWAY = _phrase(rf"While you were away: {_TEMPERATURE} to {_TEMPERATURE}", "While you were away")
COLDEST_AWAY = _phrase(
    rf"Coldest while you are away: (?:most likely |about )?{_TEMPERATURE}", "Coldest while you are away"
)
AGAINST_COLD = _phrase(r"warm|heating|the heater", "the room's heating")
MOST_LIKELY = re.compile(rf"most likely {_NUMBER}(?: mL)?(?: (below|above) the mark)?| (at the mark)")

# What a nightly letter asks for against an alarm, of those where what helps is no other alarm's.
REMEDIES = {
    "hot": _phrase(r"sun or lamp makes the water hot", "sun or lamp makes the water hot"),
    "cold": _phrase(r"[Ww]arm the room, or move what is cold", "warm the room, or move what is cold"),
    "lamp": _phrase(r"whether the lamp is plugged in", "look whether the lamp is plugged in"),
    "lamp-stays-on": _phrase(r"[Ss]et the lamp's timer right", "set the lamp's timer right"),
    "water": _phrase(r"see where the water stands, and measure", "see where the water stands, and measure"),
    "salinity": _phrase(r"[Mm]easure the salt if you can", "measure the salt if you can"),
    "swing": _phrase(r"[Mm]ove it, gently, away from the window", "move it, gently, away from the window"),
    "cold-ahead": _phrase(r"heating to stay on for the cold hours", "heating to stay on for the cold hours"),
    "hot-ahead": _phrase(r"[Dd]raw the blind, or move it", "draw the blind, or move it"),
    "probe": PROBE_FIRST,
}
EVERY = {name: phrase for name, phrase in globals().items() if isinstance(phrase, Phrase)}
EVERY |= {f"REMEDIES {condition}": phrase for condition, phrase in REMEDIES.items()}
