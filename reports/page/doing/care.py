"""What to mind for safety where something is done to a vessel, in the letters' own words."""

from reports.language import in_its_language, say
from reports.letters.feed import feeding_care
from reports.letters.heaters import UNPLUG, pouring_care, unplugged_for
from reports.letters.pouring import due_lines, takes_brine
from reports.letters.sentences import HYGIENE, WASH, name
from reports.page.doing.choices import Choice
from reports.records import Setting, VesselNight
from reports.words import capital

_POURED = ("top-up", "brine")
_TAKEN_OUT = ("remove", "harvest")


@in_its_language
def care(_setting: Setting, choice: Choice, vessel: VesselNight) -> str:
    """What to mind while it is done."""
    match choice.deed:
        case "top-up" | "brine":
            said = [one.text for one in pouring_care([vessel])]
        case "remove" | "harvest":
            said = [*(one.text for one in pouring_care([vessel])), say(HYGIENE)]
        case "feed":
            said = [feeding_care().text]
        case "set" | "end":
            said = [say(HYGIENE)]
        case "note":
            said = []
        case _:
            said = [say(WASH)]
    return " ".join(said)


@in_its_language
def first(_setting: Setting, choice: Choice, vessel: VesselNight) -> tuple[str, ...]:
    """What comes before it, or how it is mixed: nobody pours beside a live heater, nor water for brine."""
    said = []
    if vessel.has_heater and choice.deed in (*_POURED, *_TAKEN_OUT):
        pour = say("pour.") if choice.deed in _POURED else say("take the water out.")
        said.append(capital(unplugged_for(pour, [vessel])))
    if vessel.has_heater and choice.deed == "end":
        said.append(capital(say(UNPLUG, names=name(vessel))))
    if choice.deed in _POURED and takes_brine(vessel):
        said.extend(due_lines(vessel))
    return tuple(said)


@in_its_language
def everywhere(_setting: Setting, vessel: VesselNight) -> str:
    """What to mind whatever is done."""
    return " ".join([*(one.text for one in pouring_care([vessel])), say(HYGIENE)])
