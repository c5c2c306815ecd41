"""The lamp letter: a lamp that is off in its hours, or stays on after them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Protocol

from reports import amounts, times
from reports.language import in_its_language, say, to_say
from reports.letters.blocks import Body, Caution, paragraphs
from reports.letters.freshness import water_read
from reports.letters.known import Fact, Known, fact, known, line_of
from reports.letters.page import letter, subject
from reports.letters.sentences import (
    ASK_ABOUT_LAMP,
    NO_HOT_LAMP,
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

COVERED = to_say("A covered light probe looks the same from here.")


@dataclass(frozen=True, slots=True)
class LampTrouble:
    """A lamp that is off in its hours; `dark_for` is how much of them since `since`.
    `stage` is one of `reports.letters.stages`; `has_heater`: a heater is to hold its water."""

    vessel: str
    count: int
    light: float
    light_unit: str
    low_light: float
    since: datetime
    dark_for: timedelta
    lamp_hours: tuple[LampHours, ...]
    water_c: Measured | None
    stage: str
    vessel_kind: str
    has_heater: bool = False


@dataclass(frozen=True, slots=True)
class LampStaysOn:
    """A lamp that is still on after its hours; `since` is when it should have gone off."""

    vessel: str
    count: int
    light: float
    light_unit: str
    since: datetime
    lamp_hours: tuple[LampHours, ...]
    water_c: Measured | None


class Wet(Protocol):
    """Anything whose water may have been read."""

    @property
    def water_c(self) -> Measured | None: ...


@in_its_language
def lamp_letter(setting: Setting, troubles: Sequence[LampTrouble]) -> LetterText:
    """A lamp that gives too little light in its hours; `troubles` holds at least one."""
    darkest = min(troubles, key=lambda trouble: trouble.light)
    light = amounts.light(darkest.light, darkest.light_unit)
    dark = dark_means(setting, troubles)
    body = Body(
        action(
            setting,
            say("look whether the timer is on and set right, and the lamp plugged in."),
            say("look first whether the timer is on and set right, and the lamp plugged in."),
        ),
        care=[mains()],
        besides=nobody_must_come(setting, ASK_ABOUT_LAMP),
        known=known([Known(name(one), _off_facts(setting, one)) for one in troubles], say("Vessel")),
        means=[say(COVERED)],
        spare=[
            *paragraphs(dark.text),
            *over_lines(troubles),
            *paragraphs(*water_lines(setting, troubles), *dark.more),
        ],
        ending=ending(setting),
    )
    lead = say("The lamp over {names} is off: {light}.", names=names(troubles), light=light)
    subject_line = subject(say("Lamp off: {light}", light=light), place(troubles), setting.station)
    return letter("lamp", subject_line, lead, body, setting)


def _off_facts(setting: Setting, trouble: LampTrouble) -> tuple[Fact, ...]:
    unit, began = trouble.light_unit, times.moment(trouble.since, setting.written_at)
    dark = say(
        "{when}, {length} in all",
        when=began,
        length=times.duration(trouble.dark_for),
    )
    return (
        *light_read(say("Light now"), trouble.light, trouble.low_light, unit),
        Fact(say("Dark in its hours since"), dark, began),
        fact(say("Lamp hours"), times.hours(trouble.lamp_hours)),
        *water_known(setting, trouble.water_c),
    )


def light_read(label: str, light: float, low_light: float, unit: str) -> tuple[Fact, ...]:
    """The light, of one group told in the lead, and from how much on a lamp counts as lit."""
    low = amounts.light(low_light, unit)
    return Fact(label, None, amounts.light(light, unit)), Fact(
        say("Counts as lit"), say("from {light}", light=low)
    )


def water_known(setting: Setting, water_c: Measured | None) -> tuple[Fact, ...]:
    """The water, where it was ever read; of one group where there is room."""
    return () if water_c is None else (replace(water_read(setting, water_c), value=None),)


def water_lines(setting: Setting, vessels: Sequence[Wet]) -> list[str]:
    """The water of one group in a line."""
    read = {one.water_c for one in vessels}
    water_c = next(iter(read))
    return [line_of(water_read(setting, water_c))] if len(read) == 1 and water_c is not None else []


@in_its_language
def lamp_stays_on_letter(setting: Setting, troubles: Sequence[LampStaysOn]) -> LetterText:
    """A lamp that still gives light after its hours; `troubles` holds at least one."""
    first = min(troubles, key=lambda trouble: trouble.since.timestamp())
    light = amounts.light(first.light, first.light_unit)
    body = Body(
        action(
            setting,
            say("set the lamp's timer right, so that the lamp goes off."),
            say("set the lamp's timer right first."),
        ),
        care=[mains(), *_left_alone(setting)],
        besides=_ask_to_switch_off(setting),
        known=known([Known(name(one), _on_facts(setting, one)) for one in troubles], say("Vessel")),
        means=[say("Light from the room or a window looks the same from here.")],
        spare=[
            *paragraphs(*water_lines(setting, troubles)),
            *paragraphs(say("A lamp warms the water, which then evaporates faster.")),
        ],
        ending=ending(setting),
    )
    lead = say(
        "The lamp over {names} seems to be still on: {light}.",
        names=names(troubles),
        light=light,
    )
    subject_line = subject(say("Lamp still on? {light}", light=light), place(troubles), setting.station)
    return letter("lamp", subject_line, lead, body, setting)


def _left_alone(setting: Setting) -> list[Caution]:
    return [] if setting.attended_now else [Caution(say(NO_HOT_LAMP))]


def _ask_to_switch_off(setting: Setting) -> tuple[str, ...]:
    if setting.attended_now:
        return ()
    return (say("An adult who knows the lamp can switch it off sooner, at its switch or timer."),)


def _on_facts(setting: Setting, trouble: LampStaysOn) -> tuple[Fact, ...]:
    return (
        Fact(say("Light now"), None, amounts.light(trouble.light, trouble.light_unit)),
        fact(say("Lamp hours"), times.hours(trouble.lamp_hours)),
        fact(say("Should be off since"), times.moment(trouble.since, setting.written_at)),
        *water_known(setting, trouble.water_c),
    )
