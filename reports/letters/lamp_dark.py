"""The letter about a lamp that was dark in its hours, written when they are over for now."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times
from reports.language import in_its_language, say
from reports.letters.lamp import off_means, water_known
from reports.letters.page import Block, Facts, Heading, letter, subject
from reports.letters.sentences import (
    ASK_ABOUT_LAMP,
    action,
    mains,
    name,
    names,
    next_letter,
    nobody_must_come,
    place,
)
from reports.records import LampHours, LetterText, Measured, Setting


@dataclass(frozen=True, slots=True)
class LampWasDark:
    """A lamp that was dark at the end of its last hours, from `began` to `ended`; `light` was read in them.

    `due_at` is when its hours begin again, `stage` one of `reports.letters.stages`; `has_heater`: a heater is
    to hold its water.
    """

    vessel: str
    count: int
    light: float
    light_unit: str
    low_light: float
    began: datetime
    ended: datetime
    due_at: datetime
    lamp_hours: tuple[LampHours, ...]
    water_c: Measured | None
    stage: str
    vessel_kind: str
    has_heater: bool = False


@in_its_language
def lamp_was_dark_letter(setting: Setting, dark: Sequence[LampWasDark]) -> LetterText:
    """A lamp that was dark in hours that are over for now; `dark` holds at least one."""
    darkest = min(dark, key=lambda one: one.light)
    light = amounts.light(darkest.light, darkest.light_unit)
    due = times.moment(min(dark, key=lambda one: one.due_at.timestamp()).due_at, setting.written_at)
    blocks: list[Block] = [
        Heading(say("What is known")),
        *(Facts(name(one), _dark_facts(setting, one)) for one in dark),
        *off_means(setting, dark),
        action(
            setting,
            say(
                "with dry hands, see that the timer is set right and the lamp plugged in before its hours "
                "begin again, {when}.",
                when=due,
            ),
        ),
        *nobody_must_come(setting, ASK_ABOUT_LAMP),
        mains(),
        next_letter(setting),
    ]
    lead = say("The lamp over {names} was dark in its hours: {light}.", names=names(dark), light=light)
    short = say("Lamp was dark, {hours}", hours=times.between(darkest.began, darkest.ended))
    return letter("lamp", subject(short, place(dark), setting.station), lead, blocks, setting)


def _dark_facts(setting: Setting, one: LampWasDark) -> tuple[str, ...]:
    now, unit = setting.written_at, one.light_unit
    return (
        say(
            "Light then: {light}. Lit counts from {low_light}.",
            light=amounts.light(one.light, unit),
            low_light=amounts.light(one.low_light, unit),
        ),
        say(
            "Dark from {began} to {ended}, when its hours ended.",
            began=times.moment(one.began, now),
            ended=times.moment(one.ended, now),
        ),
        say("Lamp hours: {hours}.", hours=times.hours(one.lamp_hours)),
        *water_known(setting, one.water_c),
    )
