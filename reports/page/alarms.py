"""Alarms on the page: those of the station itself have words here, the others those of letters and charts."""

from reports.conditions import CONDITIONS, alarm_name
from reports.language import say, spoken, to_say

# What is wrong with the station itself, while it stands, and its name.
_OF_STATION = {
    "storage": (to_say("the memory card is nearly full"), to_say("a memory card that is nearly full")),
    "clock": (to_say("the clock may be wrong"), to_say("a clock that may be wrong")),
}


def name_of_alarm(condition: str) -> str:
    """What an alarm is called where nothing is said of how it stands."""
    if condition in _OF_STATION:
        return say(_OF_STATION[condition][1])
    return alarm_name(condition) if condition in CONDITIONS else condition


def name_in(language: str, condition: str) -> str:
    """The same in a language."""
    with spoken(language):
        return name_of_alarm(condition)


def standing_in(language: str, condition: str, *, seen: bool) -> str:
    """An alarm of the station itself that stands, in a language; `seen`: somebody acknowledged it."""
    with spoken(language):
        stands = say(_OF_STATION[condition][0]) if condition in _OF_STATION else condition
        return say("{alarm} (seen)", alarm=stands) if seen else stands
