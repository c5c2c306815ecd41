"""Letters about where the cups stand: a lamp that stays on, water that swings between cold and warm."""

from collections.abc import Sequence

from reports import words
from reports.letters.page import Block, Facts, Heading, Paragraph, letter, subject
from reports.letters.parts import (
    ASK_ABOUT_CUPS,
    action,
    mains,
    name,
    names,
    next_letter,
    nobody_must_come,
    place,
    since,
    swimmers_best,
    them,
)
from reports.records import LetterText, Setting
from reports.tongue import in_its_language, say
from reports.troubles import LampStaysOn, SwingTrouble


@in_its_language
def lamp_stays_on_letter(setting: Setting, troubles: Sequence[LampStaysOn]) -> LetterText:
    """A lamp that still gives light after its hours; `troubles` holds at least one."""
    first = min(troubles, key=lambda trouble: trouble.since.timestamp())
    light = words.light(first.light, first.light_unit)
    blocks: list[Block] = [
        Heading(say("What is known")),
        *(Facts(name(trouble), _lamp_facts(setting, trouble)) for trouble in troubles),
        Heading(say("What it means")),
        Paragraph(
            say(
                "The lamp is judged by the light that reaches the probe. A timer set wrong, a switch "
                "left on and light from the room or a window all look the same from here."
            )
        ),
        Paragraph(
            say(
                "For the animals it is the lamp's warmth that counts: the water gets warmer, and it "
                "leaves the cup faster."
            )
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
    told = subject(say("Lamp still on? {light}", light=light), place(troubles), setting.station)
    return letter("lamp", told, lead, blocks, setting)


def _ask_to_switch_off(setting: Setting) -> tuple[Paragraph, ...]:
    if setting.attended_now:
        return ()
    return (
        Paragraph(
            say(
                "If an adult who knows the lamp is in the building sooner, ask them to switch it off at "
                "the wall. If your school's rules say that no lamp may be on with nobody there, follow "
                "those rules."
            )
        ),
    )


def _lamp_facts(setting: Setting, trouble: LampStaysOn) -> tuple[str, ...]:
    told = [
        say("Light now: {light}.", light=words.light(trouble.light, trouble.light_unit)),
        say("Lamp hours: {hours}.", hours=words.hours(trouble.lamp_hours)),
        say("Should be off since {since}.", since=since(trouble.since, setting.written_at)),
    ]
    if trouble.water_c is not None:
        told.append(
            say("Water now: {temperature}.", temperature=words.temperature(trouble.water_c, setting.unit))
        )
    return tuple(told)


@in_its_language
def swing_letter(setting: Setting, troubles: Sequence[SwingTrouble]) -> LetterText:
    """Water that was much colder and much warmer within a day; `troubles` holds at least one."""
    widest = max(troubles, key=lambda trouble: trouble.highest_c - trouble.lowest_c)
    ends = [words.temperature(value, setting.unit, 0) for value in (widest.lowest_c, widest.highest_c)]
    move = say(
        "move {them}, gently, away from the window, to a place that is as warm by night as by day.",
        them=them(troubles),
    )
    blocks: list[Block] = [
        Heading(say("What is known")),
        *(Facts(name(trouble), _swing_facts(setting, trouble)) for trouble in troubles),
        Heading(say("What it means")),
        Paragraph(
            say(
                "Sun by day and cold glass by night make water swing like that. A window sill swings too "
                "much for the cups: that is common practice, not a measured limit."
            )
        ),
        Paragraph(
            say(
                "The hatch goes faster and slower by turns, so the times told for it are less sure. "
                "Animals that already swim live best at {best}.",
                best=swimmers_best(setting),
            )
        ),
        action(setting, move, move),
        *nobody_must_come(setting, ASK_ABOUT_CUPS),
        next_letter(setting),
    ]
    lead = say(
        "The water in {names} swings too much: from {low} to {high} within a day.",
        names=names(troubles),
        low=ends[0],
        high=ends[1],
    )
    told = subject(say("Swing: {low} to {high}", low=ends[0], high=ends[1]), place(troubles), setting.station)
    return letter("swing", told, lead, blocks, setting)


def _swing_facts(setting: Setting, trouble: SwingTrouble) -> tuple[str, ...]:
    unit, now = setting.unit, setting.written_at
    swing_k = trouble.highest_c - trouble.lowest_c
    began = min(trouble.lowest_at, trouble.highest_at, key=lambda at: at.timestamp())
    return (
        say(
            "Coldest: {temperature}, {when}.",
            temperature=words.temperature(trouble.lowest_c, unit),
            when=words.moment(trouble.lowest_at, now),
        ),
        say(
            "Warmest: {temperature}, {when}.",
            temperature=words.temperature(trouble.highest_c, unit),
            when=words.moment(trouble.highest_at, now),
        ),
        say(
            "Apart: {difference}. Limit: {limit}.",
            difference=words.difference(swing_k, unit),
            limit=words.difference(trouble.limit_k, unit),
        ),
        say(
            "Seen from {when} on, for {length}.",
            when=words.moment(began, now),
            length=words.duration(words.elapsed(began, now)),
        ),
    )
