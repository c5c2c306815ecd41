"""The lamp letter: a lamp that is off in its hours, or stays on after them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from reports import amounts, times
from reports.language import in_its_language, say
from reports.letters.freshness import water_read
from reports.letters.page import Block, Facts, Heading, Paragraph, letter, subject
from reports.letters.sentences import (
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
from reports.letters.stages import Lit, dark_means
from reports.records import LampHours, LetterText, Measured, Setting


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


@in_its_language
def lamp_letter(setting: Setting, troubles: Sequence[LampTrouble]) -> LetterText:
    """A lamp that gives too little light in its hours; `troubles` holds at least one."""
    darkest = min(troubles, key=lambda trouble: trouble.light)
    light = amounts.light(darkest.light, darkest.light_unit)
    facts = [Facts(name(trouble), _off_facts(setting, trouble)) for trouble in troubles]
    blocks: list[Block] = [
        Heading(say("What is known")),
        *facts,
        *off_means(setting, troubles),
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


def off_means(setting: Setting, vessels: Sequence[Lit]) -> tuple[Block, ...]:
    """What it means that the probe sees no lamp over these."""
    return (
        Heading(say("What it means")),
        Paragraph(
            say(
                "The lamp is judged by the light that reaches the probe. A lamp that is off, a timer set "
                "wrong and a covered probe all look the same from here."
            )
        ),
        Paragraph(" ".join(dark_means(setting, vessels))),
    )


def _off_facts(setting: Setting, trouble: LampTrouble) -> tuple[str, ...]:
    now, unit = setting.written_at, trouble.light_unit
    return (
        say(
            "Light: {light}. Lit counts from {low_light}.",
            light=amounts.light(trouble.light, unit),
            low_light=amounts.light(trouble.low_light, unit),
        ),
        say(
            "Dark in its hours since {when}: {length} so far.",
            when=times.moment(trouble.since, now),
            length=times.duration(trouble.dark_for),
        ),
        say("Lamp hours: {hours}.", hours=times.hours(trouble.lamp_hours)),
        *water_known(setting, trouble.water_c),
    )


def water_known(setting: Setting, water_c: Measured | None) -> tuple[str, ...]:
    """The water, where it was ever read."""
    return () if water_c is None else (water_read(setting, water_c),)


@in_its_language
def lamp_stays_on_letter(setting: Setting, troubles: Sequence[LampStaysOn]) -> LetterText:
    """A lamp that still gives light after its hours; `troubles` holds at least one."""
    first = min(troubles, key=lambda trouble: trouble.since.timestamp())
    light = amounts.light(first.light, first.light_unit)
    blocks: list[Block] = [
        Heading(say("What is known")),
        *(Facts(name(trouble), _on_facts(setting, trouble)) for trouble in troubles),
        Heading(say("What it means")),
        Paragraph(
            say(
                "The lamp is judged by the light that reaches the probe. A timer set wrong, a switch "
                "left on and light from the room or a window all look the same from here."
            )
        ),
        Paragraph(
            say("What counts is the lamp's warmth: the water gets warmer, and it leaves the vessel faster.")
        ),
        action(
            setting,
            say("with dry hands, set the lamp's timer right, so that the lamp goes off."),
            say("with dry hands, set the lamp's timer right first, so that the lamp goes off."),
        ),
        *_ask_to_switch_off(setting),
        mains(),
        next_letter(setting),
    ]
    lead = say(
        "The lamp over {names} seems to be still on after its hours: {light}.",
        names=names(troubles),
        light=light,
    )
    subject_line = subject(say("Lamp still on? {light}", light=light), place(troubles), setting.station)
    return letter("lamp", subject_line, lead, blocks, setting)


def _ask_to_switch_off(setting: Setting) -> tuple[Paragraph, ...]:
    if setting.attended_now:
        return ()
    return (
        Paragraph(
            say(
                "If an adult who knows the lamp is in the building sooner, ask them to switch it off at "
                "its switch or its plug. If your school's rules say that no lamp may be on with nobody "
                "there, follow those rules."
            )
        ),
    )


def _on_facts(setting: Setting, trouble: LampStaysOn) -> tuple[str, ...]:
    return (
        say("Light now: {light}.", light=amounts.light(trouble.light, trouble.light_unit)),
        say("Lamp hours: {hours}.", hours=times.hours(trouble.lamp_hours)),
        say("Should be off since {since}.", since=since(trouble.since, setting.written_at)),
        *water_known(setting, trouble.water_c),
    )
