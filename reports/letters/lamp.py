"""The letter of a lamp that is off in its hours."""

from collections.abc import Sequence

from reports import words
from reports.letters.page import Block, Facts, Heading, Paragraph, letter, subject
from reports.letters.parts import (
    ASK_ABOUT_LAMP,
    action,
    mains,
    name,
    names,
    next_letter,
    nobody_must_come,
    place,
    since,
)
from reports.records import LetterText, Setting
from reports.tongue import in_its_language, say
from reports.troubles import LampTrouble


@in_its_language
def lamp_letter(setting: Setting, troubles: Sequence[LampTrouble]) -> LetterText:
    """A lamp that gives too little light in its hours; `troubles` holds at least one."""
    darkest = min(troubles, key=lambda trouble: trouble.light)
    light = words.light(darkest.light, darkest.light_unit)
    facts = [Facts(name(trouble), _lamp_facts(setting, trouble)) for trouble in troubles]
    blocks: list[Block] = [
        Heading(say("What is known")),
        *facts,
        Heading(say("What it means")),
        Paragraph(
            say(
                "The lamp is judged by the light that reaches the probe. A lamp that is off, a timer set "
                "wrong and a covered probe all look the same from here."
            )
        ),
        Paragraph(
            say(
                "Cysts need bright light only in their first hours in the water. After that the lamp "
                "matters for its warmth: without it a cup is usually near the room's temperature within "
                "4 to 6 hours, and a cooler cup hatches later."
            )
        ),
        action(
            setting,
            say(
                "with dry hands, look whether the timer is on and set right, and whether the lamp is "
                "plugged in."
            ),
            say(
                "look first, with dry hands, whether the timer is on and set right and the lamp is "
                "plugged in."
            ),
        ),
        *nobody_must_come(setting, ASK_ABOUT_LAMP),
        mains(),
        next_letter(setting),
    ]
    lead = say(
        "The lamp over {names} seems to be off in its hours: {light}.", names=names(troubles), light=light
    )
    return letter(
        "lamp",
        subject(say("Lamp off? {light}", light=light), place(troubles), setting.station),
        lead,
        blocks,
        setting,
    )


def _lamp_facts(setting: Setting, trouble: LampTrouble) -> tuple[str, ...]:
    now, unit = setting.written_at, trouble.light_unit
    told = [
        say(
            "Light: {light}. Lit counts from {low_light}.",
            light=words.light(trouble.light, unit),
            low_light=words.light(trouble.low_light, unit),
        ),
        say("Dark since {since}.", since=since(trouble.since, now)),
        say("Lamp hours: {hours}.", hours=words.hours(trouble.lamp_hours)),
    ]
    if trouble.water_c is not None:
        told.append(
            say("Water now: {temperature}.", temperature=words.temperature(trouble.water_c, setting.unit))
        )
    return tuple(told)
