"""Letters of trouble with warmth and light: cold, hot, lamp."""

from collections.abc import Sequence

from reports import words
from reports.letter_page import Block, Facts, Heading, Paragraph, letter, subject
from reports.letter_parts import (
    DIES_ABOVE_C,
    KNOWN_ABOVE_C,
    NO_FIRE_ALARM,
    RESTS_BELOW_C,
    STOPS_ABOVE_C,
    action,
    best,
    mains,
    name,
    names,
    next_letter,
    nobody_must_come,
    place,
    since,
    swimmers_best,
)
from reports.records import LampTrouble, LetterText, Setting, TemperatureTrouble

_SLOWER = "Cold slows the hatch, so it comes later. Cold alone does not usually harm cysts."


def cold_letter(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> LetterText:
    """Water below the comfort band. One letter for all vessels alike; `troubles` holds at least one."""
    coldest_c = min(trouble.water_c for trouble in troubles)
    water = words.temperature(coldest_c, setting.unit)
    blocks: list[Block] = [
        *_known(setting, troubles),
        Heading("What it means"),
        Paragraph(_cold_means(setting, troubles)),
        action(
            setting,
            "move the cups to a warmer place, gently, or warm the room; "
            f"{best(setting)} suits the hatch best. Do not add hot water.",
            "look at the room's heating first, and let the cups warm up with the room. Do not add hot water.",
        ),
        *nobody_must_come(setting, "a caretaker who looks after the heating"),
        next_letter(setting),
    ]
    lead = f"Cold water in {names(troubles)}: {_at('coldest', water, troubles)}."
    return letter("cold", subject(f"Cold: {water}", place(troubles), setting.station), lead, blocks, setting)


def hot_letter(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> LetterText:
    """Water above the comfort band. One letter for all vessels alike; `troubles` holds at least one."""
    water = words.temperature(max(trouble.water_c for trouble in troubles), setting.unit)
    blocks: list[Block] = [
        *_known(setting, troubles),
        Heading("What it means"),
        Paragraph(_hot_means(troubles)),
        *(_cool_lamp(setting) if any(trouble.has_lamp for trouble in troubles) else _cool_sun(setting)),
        Paragraph(NO_FIRE_ALARM),
        next_letter(setting),
    ]
    lead = f"Hot water in {names(troubles)}: {_at('hottest', water, troubles)}."
    return letter("hot", subject(f"Hot: {water}", place(troubles), setting.station), lead, blocks, setting)


def _cool_lamp(setting: Setting) -> tuple[Block, ...]:
    return (
        action(
            setting,
            "with dry hands, switch the lamp off at the wall, and keep the sun off the cups. Do not add ice.",
            "check first whether the lamp or the sun makes the cups hot, and put right what does. Do not "
            "add ice.",
        ),
        *_ask_about_lamp(setting),
        mains(),
    )


def _cool_sun(setting: Setting) -> tuple[Block, ...]:
    return (
        action(
            setting,
            "shade the cups from the sun, or move them to a cooler place, gently. Do not add ice.",
            "shade the cups from the sun first, or move them to a cooler place, gently. Do not add ice.",
        ),
        *nobody_must_come(setting, "a caretaker who can draw a blind"),
    )


def lamp_letter(setting: Setting, troubles: Sequence[LampTrouble]) -> LetterText:
    """A lamp that gives too little light in its hours; `troubles` holds at least one."""
    darkest = min(troubles, key=lambda trouble: trouble.light)
    light = words.light(darkest.light, darkest.light_unit)
    facts = [Facts(name(trouble), _lamp_facts(setting, trouble)) for trouble in troubles]
    blocks: list[Block] = [
        Heading("What is known"),
        *facts,
        Heading("What it means"),
        Paragraph(
            "The lamp is judged by the light that reaches the probe. A lamp that is off, a timer set wrong "
            "and a covered probe all look the same from here."
        ),
        Paragraph(
            "Cysts need bright light only in their first hours in the water. After that the lamp matters "
            "for its warmth: without it a cup is usually near the room's temperature within 4 to 6 hours, "
            "and a cooler cup hatches later."
        ),
        action(
            setting,
            "with dry hands, look whether the timer is on and set right, and whether the lamp is plugged in.",
            "look first, with dry hands, whether the timer is on and set right and the lamp is plugged in.",
        ),
        *_ask_about_lamp(setting),
        mains(),
        next_letter(setting),
    ]
    lead = f"The lamp over {names(troubles)} seems to be off in its hours: {light}."
    return letter(
        "lamp", subject(f"Lamp off? {light}", place(troubles), setting.station), lead, blocks, setting
    )


def _at(most: str, value: str, troubles: Sequence[TemperatureTrouble]) -> str:
    return value if len(troubles) == 1 else f"the {most} is at {value}"


def _ask_about_lamp(setting: Setting) -> tuple[Paragraph, ...]:
    return nobody_must_come(setting, "an adult who knows the lamp and its plug")


def _known(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> list[Block]:
    return [
        Heading("What is known"),
        *(Facts(name(trouble), _facts(setting, trouble)) for trouble in troubles),
    ]


def _facts(setting: Setting, trouble: TemperatureTrouble) -> tuple[str, ...]:
    unit, now = setting.unit, setting.written_at
    passed, most = ("below", "Coldest") if trouble.kind == "cold" else ("above", "Hottest")
    told = [
        f"Water now: {words.temperature(trouble.water_c, unit)}.",
        f"Limit: {words.temperature(trouble.limit_c, unit)}.",
        f"Found {passed} the limit since {since(trouble.since, now)}.",
        f"{most} since then: {words.temperature(trouble.extreme_c, unit)}.",
    ]
    if trouble.room_c is not None:
        told.append(f"Room air: {words.temperature(trouble.room_c, unit)}.")
    coming = trouble.water_c_min_next_16h
    if coming is not None and trouble.kind == "cold":
        told.append(f"Coldest in the next 16 hours (a forecast): {words.temperature_range(coming, unit)}.")
    return (*told, *_hatch_facts(setting, trouble))


def _hatch_facts(setting: Setting, trouble: TemperatureTrouble) -> list[str]:
    told = []
    if trouble.hatched_fraction is not None:
        hatched = words.percent_range(trouble.hatched_fraction)
        told.append(f"Hatched so far, of those that will (calculated): {hatched}.")
    if trouble.hatch_t50 is not None:
        told.append(
            f"Half hatched (calculated): {words.moment_range(trouble.hatch_t50, setting.written_at)}."
        )
    return told


def _cold_means(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> str:
    hatching = any(t.hatched_fraction is None or t.hatched_fraction.p10 < 0.9 for t in troubles)
    told = [_SLOWER if hatching else "The hatch is all but over; what cold slows now is the animals."]
    coming = [t.water_c_min_next_16h.p10 for t in troubles if t.water_c_min_next_16h is not None]
    if hatching and min([trouble.extreme_c for trouble in troubles] + coming) < KNOWN_ABOVE_C:
        told.append(
            f"Below {words.temperature(KNOWN_ABOVE_C, setting.unit, 0)} it is not known how fast a hatch "
            "goes on, so the hatch times are least sure here."
        )
    if min(trouble.extreme_c for trouble in troubles) < RESTS_BELOW_C:
        limit = words.temperature(RESTS_BELOW_C, setting.unit, 0)
        told.append(f"Below {limit} all of that stands still until it is warmer again.")
    if any(t.hatched_fraction is not None and t.hatched_fraction.p90 > 0.01 for t in troubles):
        told.append(
            f"Animals that already swim live best at {swimmers_best(setting)}; how well they stand this cold "
            "is not known here."
        )
    return " ".join(told)


def _hot_means(troubles: Sequence[TemperatureTrouble]) -> str:
    hottest_c = max(max(trouble.extreme_c, trouble.water_c) for trouble in troubles)
    told = [f"Above {words.both_units(STOPS_ABOVE_C)} the eggs (cysts) stop developing and may not recover."]
    if hottest_c > DIES_ABOVE_C:
        told.append(f"Above {words.both_units(DIES_ABOVE_C)} cysts in water die. This limit was passed.")
    elif hottest_c > STOPS_ABOVE_C:
        told.append(
            "The water was above that. Whether the cysts recover can only be seen in the days to come."
        )
    else:
        told.append("The water has not been seen above that. Warm water also leaves the cup faster.")
    told.append("Hot water holds less oxygen, so animals that swim have a harder time.")
    return " ".join(told)


def _lamp_facts(setting: Setting, trouble: LampTrouble) -> tuple[str, ...]:
    now, unit = setting.written_at, trouble.light_unit
    told = [
        f"Light: {words.light(trouble.light, unit)}. Lit counts from {words.light(trouble.low_light, unit)}.",
        f"Dark since {since(trouble.since, now)}.",
        f"Lamp hours: {words.hours(trouble.lamp_hours)}.",
    ]
    if trouble.water_c is not None:
        told.append(f"Water now: {words.temperature(trouble.water_c, setting.unit)}.")
    return tuple(told)
