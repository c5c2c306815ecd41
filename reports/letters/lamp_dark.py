"""The letter about a lamp that was dark in its hours, written when they are over for now."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times
from reports.language import in_its_language, say
from reports.letters.blocks import Body, paragraphs
from reports.letters.known import Fact, Known, fact, known
from reports.letters.lamp import COVERED, light_read, water_known, water_lines
from reports.letters.page import letter, subject
from reports.letters.sentences import (
    ASK_ABOUT_LAMP,
    action,
    ending,
    mains,
    name,
    names,
    nobody_must_come,
    place,
)
from reports.letters.stages import dark_means, over_lines
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
    due = times.on_moment(min(dark, key=lambda one: one.due_at.timestamp()).due_at, setting.written_at)
    means = dark_means(setting, dark)
    body = Body(
        action(
            setting,
            say(
                "look whether the timer is set right and the lamp plugged in. Its hours begin again {when}.",
                when=due,
            ),
        ),
        care=[mains()],
        besides=nobody_must_come(setting, ASK_ABOUT_LAMP),
        known=known([Known(name(one), _dark_facts(setting, one)) for one in dark], say("Vessel")),
        means=[say(COVERED)],
        spare=[
            *paragraphs(means.text),
            *over_lines(dark),
            *paragraphs(*water_lines(setting, dark), *means.more),
        ],
        ending=ending(setting),
    )
    lead = say("The lamp over {names} was dark in its hours: {light}.", names=names(dark), light=light)
    short = say("Lamp was dark, {hours}", hours=times.between(darkest.began, darkest.ended))
    return letter("lamp", subject(short, place(dark), setting.station), lead, body, setting)


def _dark_facts(setting: Setting, one: LampWasDark) -> tuple[Fact, ...]:
    now, unit = setting.written_at, one.light_unit
    dark = say("{began} to {ended}", began=times.moment(one.began, now), ended=times.moment(one.ended, now))
    return (
        *light_read(say("Light then"), one.light, one.low_light, unit),
        Fact(say("Dark in its hours"), dark, times.between(one.began, one.ended)),
        fact(say("Lamp hours"), times.hours(one.lamp_hours)),
        *water_known(setting, one.water_c),
    )
