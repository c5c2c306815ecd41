"""The form of a planned start: what is asked, and what is wrong with what was filled in."""

from collections.abc import Mapping, Sequence

from reports.language import in_its_language, say, to_say
from reports.page.field import Field, filled
from reports.records import Setting
from reports.words import clean

DAY, FROM, TO, SEE, VESSEL, LOT, WATER, NIGHT = (
    *("day", "from", "to", "see", "vessel", "lot"),
    *("water", "night"),
)
FIELDS = (DAY, FROM, TO, SEE, VESSEL, LOT, WATER, NIGHT)
HATCHING, SWIMMING = "hatching", "swimming"
_SEEN: Mapping[str, str] = {
    HATCHING: to_say("cysts that hatch"),
    SWIMMING: to_say("animals that swim already"),
}
_DONE: Mapping[str, str] = {
    "kept": to_say("The plan is kept. It stands in what is to do, and in the calendar."),
    "withdrawn": to_say("The plan is taken back."),
    "gone": to_say("That plan did not stand any more."),
    "changed": to_say("There is no such plan any more. Look at the new one."),
    "held": to_say("Nothing was done yet: choose once more, what you filled in still stands here."),
}
_WRONG: Mapping[str, str] = {
    "missing": to_say("This has to be filled in."),
    "day": to_say("That is no day. Write it like 2027-03-10."),
    "time": to_say("That is no time of day. Write it like 10:00."),
    "skipped": to_say("There is no such time on that day: the clocks go forward then."),
    "order": to_say("The lesson has to end after it begins."),
    "past": to_say("This lesson has begun already."),
    "far": to_say("That is more than a year ahead."),
    "unread": to_say(
        "The station has read this water for less than a day, and so has learned nothing of it yet. Write "
        "here how warm it is."
    ),
}


@in_its_language
def title(_setting: Setting) -> str:
    """Of the view."""
    return say("When to set")


@in_its_language
def first_words(_setting: Setting) -> str:
    """What it is for, before anything is filled in."""
    return say("So that cysts hatch in a lesson: when they are best set, and how sure that is.")


@in_its_language
def done(_setting: Setting, what: str) -> str:
    """What a form came to, by its name in an address; empty for a name that is none."""
    return say(_DONE[what]) if what in _DONE else ""


@in_its_language
def wrong(_setting: Setting, what: str) -> str:
    """What is wrong with a field."""
    return say(_WRONG[what])


@in_its_language
def fields(
    setting: Setting,
    values: Mapping[str, str],
    faults: Mapping[str, str],
    vessels: Sequence[str],
    lots: Sequence[str],
    *,
    learns: bool,
) -> list[Field]:
    """By what is filled in and what is wrong with it, by name; `lots` are the tins that somebody named.

    `learns`: a station runs that can say how warm the water will be.
    """
    any_tin = (("", say("another")), *((lot, clean(lot)) for lot in lots))
    unit = setting.unit
    asked = [
        Field(DAY, say("Day of the lesson"), type="date"),
        Field(FROM, say("Begins"), type="time"),
        Field(TO, say("Ends"), type="time"),
        Field(
            SEE, say("To be seen in the lesson"), options=tuple((key, say(one)) for key, one in _SEEN.items())
        ),
        Field(VESSEL, say("Vessel"), options=tuple((one, clean(one)) for one in vessels)),
        Field(LOT, say("Which tin"), options=any_tin),
        Field(
            WATER,
            say("Water by day, in °{unit}", unit=unit),
            say("While people are there. Empty: as the station has learned it.")
            if learns
            else say("While people are there."),
            longest=10,
        ),
        Field(
            NIGHT,
            say("Water late at night, in °{unit}", unit=unit),
            say("Empty: some degrees cooler."),
            longest=10,
        ),
    ]
    return filled((one for one in asked if one.name != LOT or lots or LOT in faults), values, faults)
