"""Letters of trouble to come: cold and heat that are foreseen while somebody can still do something."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from reports import words
from reports.letter_page import Action, Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letter_parts import (
    DIES_ABOVE_C,
    KNOWN_ABOVE_C,
    NO_FIRE_ALARM,
    RESTS_BELOW_C,
    STOPS_ABOVE_C,
    action,
    mains,
    name,
    names,
    next_letter,
    nobody_must_come,
    place,
    swimmers_best,
    them,
)
from reports.records import LetterText, Setting, Span, TemperatureAhead

_FORECAST = (
    "This is a forecast, made from how the room and the water went before. It may come better or worse "
    "than this."
)
_NO_HEATER = (
    "do not leave a heater or an extra lamp on beside the cups when nobody is there. Heaters and hot lamps "
    "have started fires. Your school's rules come first."
)
# From this hour of the evening to this hour of the morning people say "tonight".
_EVENING, _MORNING = 17, 9


def cold_ahead_letter(setting: Setting, coming: Sequence[TemperatureAhead]) -> LetterText:
    """Cold to come, told while somebody is there. One letter for all alike; `coming` holds at least one."""
    first = min(coming, key=lambda one: one.extreme_c.p50)
    when, value = _when(first.span, setting.written_at), _about(setting, first)
    blocks: list[Block] = [
        *_known(setting, coming),
        Heading("What it means"),
        Paragraph(_cold_means(setting, coming)),
        Paragraph(_FORECAST),
        _keep_warm(setting, coming),
        *nobody_must_come(setting, "a caretaker who looks after the heating"),
        Caution(_NO_HEATER),
        next_letter(setting),
    ]
    lead = f"Cold water {_likely(first)} {when} in {names(coming)}: about {value}."
    told = subject(f"Cold {_short(when)}: about {value}", place(coming), setting.station)
    return letter("cold", told, lead, blocks, setting)


def hot_ahead_letter(setting: Setting, coming: Sequence[TemperatureAhead]) -> LetterText:
    """Heat to come, told while somebody is there. One letter for all alike; `coming` holds at least one."""
    first = max(coming, key=lambda one: one.extreme_c.p50)
    when, value = _when(first.span, setting.written_at), _about(setting, first)
    blocks: list[Block] = [
        *_known(setting, coming),
        Heading("What it means"),
        Paragraph(_hot_means(coming)),
        Paragraph(_FORECAST),
        *_keep_cool(setting, coming),
        Paragraph(NO_FIRE_ALARM),
        next_letter(setting),
    ]
    lead = f"Hot water {_likely(first)} {when} in {names(coming)}: about {value}."
    told = subject(f"Hot {_short(when)}: about {value}", place(coming), setting.station)
    return letter("hot", told, lead, blocks, setting)


def _about(setting: Setting, one: TemperatureAhead) -> str:
    return words.temperature(one.extreme_c.p50, setting.unit, 0)


def _when(span: Span, now: datetime) -> str:
    """ "tonight", "tomorrow night", "today", "tomorrow", "on Saturday 16 January"."""
    began = max(span.began.astimezone(now.tzinfo), now, key=datetime.timestamp)
    evening = began.date() if began.hour >= _EVENING else began.date() - timedelta(days=1)
    at_night = began.hour >= _EVENING or began.hour < _MORNING
    this_night = now.date() if now.hour >= _MORNING else now.date() - timedelta(days=1)
    nights = (evening - this_night).days if at_night else None
    if nights in (0, 1):
        return "tomorrow night" if nights else "tonight"
    day = words.day(began, now)
    return day if day in ("today", "tomorrow") else f"on {day}"


def _short(when: str) -> str:
    return when if not when.startswith("on ") else when.split()[1]


def _known(setting: Setting, coming: Sequence[TemperatureAhead]) -> list[Block]:
    return [Heading("What is known"), *(Facts(name(one), _facts(setting, one)) for one in coming)]


def _facts(setting: Setting, one: TemperatureAhead) -> tuple[str, ...]:
    unit, now = setting.unit, setting.written_at
    most = "Coldest" if one.kind == "cold" else "Warmest"
    began, ended = words.moment(one.span.began, now), words.moment(one.span.ended, now)
    told = [
        f"Water now: {words.temperature(one.water_c, unit)}.",
        f"{most} to come (a forecast): {words.temperature_range(one.extreme_c, unit)}.",
        f"Limit: {words.temperature(one.limit_c, unit)}.",
        f"When (a forecast): from {began} to {ended}.",
    ]
    if one.sun:
        told.append("The water warmed before as it does when the sun comes through a window.")
    return (*told, f"How sure: {_how_sure(one)}.")


def _how_sure(one: TemperatureAhead) -> str:
    sign = 1.0 if one.kind == "cold" else -1.0
    believed = one.extreme_c
    surest = max(sign * believed.p10, sign * believed.p90)
    if surest < sign * one.limit_c:
        return "at least nine chances in ten that it passes the limit"
    if sign * believed.p50 < sign * one.limit_c:
        return "it is more likely than not to pass the limit"
    return "it may pass the limit, but most likely will not"


def _likely(one: TemperatureAhead) -> str:
    sign = 1.0 if one.kind == "cold" else -1.0
    return "is likely" if sign * one.extreme_c.p50 < sign * one.limit_c else "may come"


def _cold_means(setting: Setting, coming: Sequence[TemperatureAhead]) -> str:
    coldest_c = min(one.extreme_c.p10 for one in coming)
    told = ["Cold slows the hatch, so it comes later. Cold alone does not usually harm cysts (the eggs)."]
    if coldest_c < KNOWN_ABOVE_C:
        limit = words.temperature(KNOWN_ABOVE_C, setting.unit, 0)
        told.append(f"Below {limit} it is not known how fast a hatch goes on.")
    if coldest_c < RESTS_BELOW_C:
        limit = words.temperature(RESTS_BELOW_C, setting.unit, 0)
        told.append(f"Below {limit} all of that stands still until it is warmer again.")
    told.append(f"Animals that already swim live best at {swimmers_best(setting)}.")
    return " ".join(told)


def _hot_means(coming: Sequence[TemperatureAhead]) -> str:
    hottest_c = max(one.extreme_c.p90 for one in coming)
    told = [f"Above {words.both_units(STOPS_ABOVE_C)} the eggs (cysts) stop developing and may not recover."]
    if hottest_c > DIES_ABOVE_C:
        told.append(f"Above {words.both_units(DIES_ABOVE_C)} cysts in water die. It could get that hot.")
    elif hottest_c > STOPS_ABOVE_C:
        told.append("It could get that hot.")
    else:
        told.append("It is not likely to get that hot. Warm water also leaves the cup faster.")
    told.append("Hot water holds less oxygen, so animals that swim have a harder time.")
    return " ".join(told)


def _keep_warm(setting: Setting, coming: Sequence[TemperatureAhead]) -> Action:
    later = (
        f"look first how warm the water is, and let {them(coming)} warm up with the room. Add no hot water."
    )
    if any(one.has_lamp for one in coming):
        return action(setting, "before you go, ask for the room's heating to stay on for that time.", later)
    return action(
        setting,
        f"before you go, move {them(coming)}, gently, to the warmest place you have, away from the window. "
        "Do not add hot water.",
        later,
    )


def _keep_cool(setting: Setting, coming: Sequence[TemperatureAhead]) -> tuple[Block, ...]:
    if any(one.sun for one in coming):
        now = (
            f"before you go, draw the blind, or move {them(coming)}, gently, out of the sun. Do not add ice."
        )
        later = f"draw the blind first, or move {them(coming)}, gently, out of the sun. Do not add ice."
        return action(setting, now, later), *nobody_must_come(setting, "a caretaker who can draw a blind")
    if any(one.has_lamp for one in coming):
        now = "with dry hands, switch the lamp off at the wall until it is cooler. Do not add ice."
        later = "look first, with dry hands, whether the lamp has to be off for now. Do not add ice."
        ask = nobody_must_come(setting, "an adult who knows the lamp and its plug")
        return action(setting, now, later), *ask, mains()
    now = f"before you go, move {them(coming)}, gently, to the coolest place you have. Do not add ice."
    later = f"move {them(coming)}, gently, to a cooler place first. Do not add ice."
    return action(setting, now, later), *nobody_must_come(setting, "a person you trust with the cups")
