"""The titles of the views in which something is noted, and how the vessel stands meanwhile."""

from reports import words
from reports.language import in_its_language, say
from reports.page import shelf
from reports.page.doing.choices import Choice
from reports.records import Setting, VesselNight


@in_its_language
def name(_setting: Setting, vessel: str, count: int) -> str:
    """A vessel's, as people read it."""
    return words.vessel_name(vessel, count)


@in_its_language
def of_do(setting: Setting, vessel: VesselNight) -> str:
    """Of the view with all the buttons."""
    return say("What was done: {name}", name=name(setting, vessel.vessel, vessel.count))


@in_its_language
def of_form(setting: Setting, choice: Choice, vessel: VesselNight, *, change: bool) -> str:
    """Of the form of one choice."""
    values = {"what": say(choice.label), "name": name(setting, vessel.vessel, vessel.count)}
    return say("Change: {what}, {name}", **values) if change else say("{what}: {name}", **values)


@in_its_language
def stands(setting: Setting, vessel: VesselNight) -> str:
    """How it stands, in a line."""
    return shelf.sentence(setting, vessel)
