"""Letters of trouble to come: cold and heat that are foreseen while somebody can still do something."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from reports import words
from reports.letters.page import Action, Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letters.parts import (
    ASK_ABOUT_BLIND,
    ASK_ABOUT_CUPS,
    ASK_ABOUT_HEATING,
    ASK_ABOUT_LAMP,
    DIES_ABOVE_C,
    KNOWN_ABOVE_C,
    NO_FIRE_ALARM,
    RESTS_BELOW_C,
    STOPS_ABOVE_C,
    action,
    heat_stops,
    mains,
    name,
    names,
    next_letter,
    nobody_must_come,
    place,
    swimmers_best,
    them,
)
from reports.records import LetterText, Setting, Span
from reports.tongue import in_its_language, say, to_say
from reports.troubles import TemperatureAhead

_FORECAST = to_say(
    "This is a forecast, made from how the room and the water went before. It may come "
    "better or worse than this."
)
_NO_HEATER = to_say(
    "do not leave a heater or an extra lamp on beside the cups when nobody is there. Heaters "
    "and hot lamps have started fires. Your school's rules come first."
)
_COLD_LIKELY = to_say("Cold water is likely {when} in {names}: about {value}.")
_COLD_POSSIBLE = to_say("Cold water may come {when} in {names}: about {value}.")
_HOT_LIKELY = to_say("Hot water is likely {when} in {names}: about {value}.")
_HOT_POSSIBLE = to_say("Hot water may come {when} in {names}: about {value}.")
# From this hour of the evening to this hour of the morning people say "tonight".
_EVENING, _MORNING = 17, 9


@in_its_language
def cold_ahead_letter(setting: Setting, coming: Sequence[TemperatureAhead]) -> LetterText:
    """Cold to come, told while somebody is there. One letter for all alike; `coming` holds at least one."""
    first = min(coming, key=lambda one: one.extreme_c.p50)
    value = _about(setting, first)
    blocks: list[Block] = [
        *_known(setting, coming),
        Heading(say("What it means")),
        Paragraph(_cold_means(setting, coming)),
        Paragraph(say(_FORECAST)),
        _keep_warm(setting, coming),
        *nobody_must_come(setting, ASK_ABOUT_HEATING),
        Caution(say(_NO_HEATER)),
        next_letter(setting),
    ]
    when = _when(first.span, setting.written_at)
    lead = say(
        _COLD_LIKELY if _is_likely(first) else _COLD_POSSIBLE, when=when, names=names(coming), value=value
    )
    short = _when_short(first.span, setting.written_at)
    told = subject(say("Cold {when}: about {value}", when=short, value=value), place(coming), setting.station)
    return letter("cold", told, lead, blocks, setting)


@in_its_language
def hot_ahead_letter(setting: Setting, coming: Sequence[TemperatureAhead]) -> LetterText:
    """Heat to come, told while somebody is there. One letter for all alike; `coming` holds at least one."""
    first = max(coming, key=lambda one: one.extreme_c.p50)
    value = _about(setting, first)
    blocks: list[Block] = [
        *_known(setting, coming),
        Heading(say("What it means")),
        Paragraph(_hot_means(coming)),
        Paragraph(say(_FORECAST)),
        *_keep_cool(setting, coming),
        Paragraph(say(NO_FIRE_ALARM)),
        next_letter(setting),
    ]
    when = _when(first.span, setting.written_at)
    lead = say(
        _HOT_LIKELY if _is_likely(first) else _HOT_POSSIBLE, when=when, names=names(coming), value=value
    )
    short = _when_short(first.span, setting.written_at)
    told = subject(say("Hot {when}: about {value}", when=short, value=value), place(coming), setting.station)
    return letter("hot", told, lead, blocks, setting)


def _about(setting: Setting, one: TemperatureAhead) -> str:
    return words.temperature(one.extreme_c.p50, setting.unit, 0)


def _when(span: Span, now: datetime) -> str:
    """ "tonight", "tomorrow night", "today", "tomorrow", "on Saturday 16 January"."""
    return _night(span, now) or words.on_day(_began(span, now), now)


def _when_short(span: Span, now: datetime) -> str:
    """The same for a subject: "Saturday"."""
    began = _began(span, now)
    return _night(span, now) or (
        words.day(began, now) if words.is_named(began, now) else words.weekday(began)
    )


def _began(span: Span, now: datetime) -> datetime:
    return max(span.began.astimezone(now.tzinfo), now, key=datetime.timestamp)


def _night(span: Span, now: datetime) -> str | None:
    """ "tonight" or "tomorrow night", where it begins in one of the two."""
    began = _began(span, now)
    evening = began.date() if began.hour >= _EVENING else began.date() - timedelta(days=1)
    at_night = began.hour >= _EVENING or began.hour < _MORNING
    this_night = now.date() if now.hour >= _MORNING else now.date() - timedelta(days=1)
    nights = (evening - this_night).days if at_night else None
    if nights == 0:
        return say("tonight")
    return say("tomorrow night") if nights == 1 else None


def _known(setting: Setting, coming: Sequence[TemperatureAhead]) -> list[Block]:
    return [Heading(say("What is known")), *(Facts(name(one), _facts(setting, one)) for one in coming)]


def _facts(setting: Setting, one: TemperatureAhead) -> tuple[str, ...]:
    unit, now = setting.unit, setting.written_at
    most = words.temperature_range(one.extreme_c, unit)
    began, ended = words.moment(one.span.began, now), words.moment(one.span.ended, now)
    told = [
        say("Water now: {temperature}.", temperature=words.temperature(one.water_c, unit)),
        say("Coldest to come (a forecast): {temperature}.", temperature=most)
        if one.kind == "cold"
        else say("Warmest to come (a forecast): {temperature}.", temperature=most),
        say("Limit: {temperature}.", temperature=words.temperature(one.limit_c, unit)),
        say("When (a forecast): from {began} to {ended}.", began=began, ended=ended),
    ]
    if one.sun:
        told.append(say("The water warmed before as it does when the sun comes through a window."))
    return (*told, _how_sure(one))


def _how_sure(one: TemperatureAhead) -> str:
    sign = 1.0 if one.kind == "cold" else -1.0
    believed = one.extreme_c
    surest = max(sign * believed.p10, sign * believed.p90)
    if surest < sign * one.limit_c:
        return say("How sure: at least nine chances in ten that it passes the limit.")
    if sign * believed.p50 < sign * one.limit_c:
        return say("How sure: it is more likely than not to pass the limit.")
    return say("How sure: it may pass the limit, but most likely will not.")


def _is_likely(one: TemperatureAhead) -> bool:
    sign = 1.0 if one.kind == "cold" else -1.0
    return sign * one.extreme_c.p50 < sign * one.limit_c


def _cold_means(setting: Setting, coming: Sequence[TemperatureAhead]) -> str:
    coldest_c = min(one.extreme_c.p10 for one in coming)
    told = [
        say("Cold slows the hatch, so it comes later. Cold alone does not usually harm cysts (the eggs).")
    ]
    if coldest_c < KNOWN_ABOVE_C:
        limit = words.temperature(KNOWN_ABOVE_C, setting.unit, 0)
        told.append(say("Below {limit} it is not known how fast a hatch goes on.", limit=limit))
    if coldest_c < RESTS_BELOW_C:
        limit = words.temperature(RESTS_BELOW_C, setting.unit, 0)
        told.append(say("Below {limit} all of that stands still until it is warmer again.", limit=limit))
    told.append(say("Animals that already swim live best at {best}.", best=swimmers_best(setting)))
    return " ".join(told)


def _hot_means(coming: Sequence[TemperatureAhead]) -> str:
    hottest_c = max(one.extreme_c.p90 for one in coming)
    told = [heat_stops()]
    if hottest_c > DIES_ABOVE_C:
        told.append(
            say(
                "Above {temperature} cysts in water die. It could get that hot.",
                temperature=words.both_units(DIES_ABOVE_C),
            )
        )
    elif hottest_c > STOPS_ABOVE_C:
        told.append(say("It could get that hot."))
    else:
        told.append(say("It is not likely to get that hot. Warm water also leaves the cup faster."))
    told.append(say("Hot water holds less oxygen, so animals that swim have a harder time."))
    return " ".join(told)


def _keep_warm(setting: Setting, coming: Sequence[TemperatureAhead]) -> Action:
    later = say(
        "look first how warm the water is, and let {them} warm up with the room. Add no hot water.",
        them=them(coming),
    )
    if any(one.has_lamp for one in coming):
        return action(
            setting, say("before you go, ask for the room's heating to stay on for that time."), later
        )
    return action(
        setting,
        say(
            "before you go, move {them}, gently, to the warmest place you have, away from the "
            "window. Do not add hot water.",
            them=them(coming),
        ),
        later,
    )


def _keep_cool(setting: Setting, coming: Sequence[TemperatureAhead]) -> tuple[Block, ...]:
    if any(one.sun for one in coming):
        now = say(
            "before you go, draw the blind, or move {them}, gently, out of the sun. Do not add ice.",
            them=them(coming),
        )
        later = say(
            "draw the blind first, or move {them}, gently, out of the sun. Do not add ice.", them=them(coming)
        )
        return action(setting, now, later), *nobody_must_come(setting, ASK_ABOUT_BLIND)
    if any(one.has_lamp for one in coming):
        now = say("with dry hands, switch the lamp off at the wall until it is cooler. Do not add ice.")
        later = say("look first, with dry hands, whether the lamp has to be off for now. Do not add ice.")
        ask = nobody_must_come(setting, ASK_ABOUT_LAMP)
        return action(setting, now, later), *ask, mains()
    now = say(
        "before you go, move {them}, gently, to the coolest place you have. Do not add ice.",
        them=them(coming),
    )
    later = say("move {them}, gently, to a cooler place first. Do not add ice.", them=them(coming))
    return action(setting, now, later), *nobody_must_come(setting, ASK_ABOUT_CUPS)
