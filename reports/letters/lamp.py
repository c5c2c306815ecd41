"""The lamp letter: a lamp that is off in its hours, or stays on after them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from reports import amounts, times
from reports.language import in_its_language, say
from reports.letters.freshness import water_read
from reports.letters.known import Fact, Known, fact, known
from reports.letters.page import Body, Caution, letter, subject
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
    since,
)
from reports.letters.stages import Lit, dark_means, over_lines
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
    body = Body(
        action(
            setting,
            say("look whether the timer is on and set right, and whether the lamp is plugged in."),
            say("look first whether the timer is on and set right and the lamp is plugged in."),
        ),
        care=[mains()],
        record=over_lines(troubles),
        besides=nobody_must_come(setting, ASK_ABOUT_LAMP),
        known=known([Known(name(one), _off_facts(setting, one)) for one in troubles], say("Vessel")),
        means=off_means(setting, troubles),
        ending=ending(setting),
    )
    lead = say("The lamp over {names} is off: {light}.", names=names(troubles), light=light)
    subject_line = subject(say("Lamp off: {light}", light=light), place(troubles), setting.station)
    return letter("lamp", subject_line, lead, body, setting)


def off_means(setting: Setting, vessels: Sequence[Lit]) -> list[str]:
    """What it means that the probe sees no lamp over these."""
    alike = say("A covered light probe looks the same from here as a lamp that is off.")
    return [alike, " ".join(dark_means(setting, vessels))]


def _off_facts(setting: Setting, trouble: LampTrouble) -> tuple[Fact, ...]:
    unit = trouble.light_unit
    dark = say(
        "{when}, {length} so far",
        when=times.moment(trouble.since, setting.written_at),
        length=times.duration(trouble.dark_for),
    )
    return (
        fact(say("Light now"), amounts.light(trouble.light, unit)),
        fact(say("Counts as lit from"), amounts.light(trouble.low_light, unit)),
        fact(say("Dark in its hours since"), dark),
        fact(say("Lamp hours"), times.hours(trouble.lamp_hours)),
        *water_known(setting, trouble.water_c),
    )


def water_known(setting: Setting, water_c: Measured | None) -> tuple[Fact, ...]:
    """The water, where it was ever read."""
    return () if water_c is None else (water_read(setting, water_c),)


@in_its_language
def lamp_stays_on_letter(setting: Setting, troubles: Sequence[LampStaysOn]) -> LetterText:
    """A lamp that still gives light after its hours; `troubles` holds at least one."""
    first = min(troubles, key=lambda trouble: trouble.since.timestamp())
    light = amounts.light(first.light, first.light_unit)
    body = Body(
        action(
            setting,
            say("set the lamp's timer right, so that the lamp goes off."),
            say("set the lamp's timer right first, so that the lamp goes off."),
        ),
        care=[mains(), *_left_alone(setting)],
        besides=_ask_to_switch_off(setting),
        known=known([Known(name(one), _on_facts(setting, one)) for one in troubles], say("Vessel")),
        means=[
            say("A timer set wrong, a switch left on and light from room or window look the same from here."),
            say("A lamp warms the water, which then evaporates faster."),
        ],
        ending=ending(setting),
    )
    lead = say(
        "The lamp over {names} seems to be still on after its hours: {light}.",
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
    return (
        say("An adult in the building who knows the lamp can switch it off sooner, at its switch or timer."),
    )


def _on_facts(setting: Setting, trouble: LampStaysOn) -> tuple[Fact, ...]:
    return (
        fact(say("Light now"), amounts.light(trouble.light, trouble.light_unit)),
        fact(say("Lamp hours"), times.hours(trouble.lamp_hours)),
        Fact(
            say("Should be off since"),
            since(trouble.since, setting.written_at),
            times.moment(trouble.since, setting.written_at),
        ),
        *water_known(setting, trouble.water_c),
    )
