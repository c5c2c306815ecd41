"""What to mind for safety where something is done to a vessel, in the letters' own words."""

from collections.abc import Sequence
from dataclasses import dataclass

from reports.language import in_its_language, say
from reports.letters.feed import feeding_care
from reports.letters.heaters import UNPLUG, HasHeater, heated, pouring_care, unplugged_for
from reports.letters.pouring import due_lines, how_to_mix, is_harvested, takes_brine
from reports.letters.sentences import HYGIENE, WASH, names
from reports.page.doing.choices import Choice
from reports.records import Setting, VesselNight
from reports.words import capital


@dataclass(frozen=True, slots=True)
class Neighbour:
    """Another vessel to which the same is done: its name, its cups, whether a heater is to hold its water."""

    vessel: str
    count: int
    has_heater: bool


_POURED = ("top-up", "brine")
_TAKEN_OUT = ("remove", "harvest")


@in_its_language
def care(_setting: Setting, choice: Choice, vessel: VesselNight, others: Sequence[Neighbour] = ()) -> str:
    """What to mind while it is done, to the others too."""
    match choice.deed:
        case "top-up" | "brine":
            said = [one.text for one in pouring_care([vessel, *others])]
        case "remove" | "harvest":
            said = [*(one.text for one in pouring_care([vessel, *others])), say(HYGIENE)]
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
def first(
    _setting: Setting, choice: Choice, vessel: VesselNight, others: Sequence[Neighbour] = ()
) -> tuple[str, ...]:
    """What comes before it, or how it is mixed: nobody pours beside a live heater, nor water for brine."""
    stood: list[HasHeater] = [vessel, *others]
    said, live = [], heated(stood)
    if live and choice.deed in (*_POURED, *_TAKEN_OUT):
        pour = say("pour.") if choice.deed in _POURED else say("take the water out.")
        said.append(capital(unplugged_for(pour, live)))
    if live and choice.deed == "end":
        said.append(capital(say(UNPLUG, names=names(live))))
    if choice.deed in _POURED and takes_brine(vessel):
        said.extend(due_lines(vessel))
    elif choice.deed == "brine" and is_harvested(vessel):
        said.extend(how_to_mix(vessel))
    return tuple(said)


@in_its_language
def everywhere(_setting: Setting, vessel: VesselNight) -> str:
    """What to mind whatever is done."""
    return " ".join([*(one.text for one in pouring_care([vessel])), say(HYGIENE)])
