"""The hot letter: water above the comfort band, and heat that is foreseen."""

from collections.abc import Sequence
from dataclasses import replace

from reports import amounts, times
from reports.language import in_its_language, say, to_say
from reports.letters.blocks import Body, Caution, paragraphs
from reports.letters.freshness import is_fresh
from reports.letters.heaters import (
    heated,
    idle_heaters,
    stuck_first,
    switches_off_first,
    to_heat,
    unheated,
    unplug_besides,
    whom_to_ask,
)
from reports.letters.page import letter, subject
from reports.letters.sentences import (
    ASK_ABOUT_BLIND,
    ASK_ABOUT_CUPS,
    ASK_ABOUT_LAMP,
    DIES_ABOVE_C,
    NO_FIRE_ALARM,
    STOPS_ABOVE_C,
    action,
    ending,
    heat_stops,
    mains,
    names,
    nobody_must_come,
    place,
)
from reports.letters.stages import hatches, heat_means, lives, over_lines
from reports.letters.vessel_kinds import them
from reports.letters.warmth import (
    FORECAST,
    TemperatureAhead,
    TemperatureTrouble,
    about,
    foreseen_time,
    foreseen_time_short,
    goes_before,
    half_hatched,
    is_likely,
    known,
    known_ahead,
    sure_lines,
)
from reports.records import LetterText, Setting

_HOT = to_say("Hot water in {names}: {water}.")
_HOTTEST = to_say("Hot water in {names}: the hottest is at {water}.")
_WAS_HOT = to_say("Hot water in {names} when it was last read, {ago}: {water}.")
_HOT_LIKELY = to_say("Hot water is likely {when} in {names}: about {value}.")
# What keeps water cool: before somebody goes, and where they stay.
_OUT_OF_SUN = (
    to_say("before you go, draw the blind, or move {them}, gently, out of the sun. Do not add ice."),
    to_say("draw the blind, or move {them}, gently, out of the sun. Do not add ice."),
)
_TO_THE_COOL = (
    to_say("before you go, move {them}, gently, to the coolest place you have. Do not add ice."),
    to_say("move {them}, gently, to the coolest place you have. Do not add ice."),
)
_SHADE_ONLY = to_say("shade {them} from the sun. Do not add ice.")
_BLIND_ONLY = to_say("draw the blind. Do not add ice.")
_LIKE_SUN = to_say("The water warmed before as it does when sun comes through a window.")
_HOT_POSSIBLE = to_say("Hot water may come {when} in {names}: about {value}.")


@in_its_language
def hot_letter(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> LetterText:
    """Water above the comfort band. One letter for all vessels alike; `troubles` holds at least one."""
    hottest = max(troubles, key=lambda trouble: trouble.water_c.value)
    stops = _seen(setting, troubles) if hatches(troubles) else ""
    means = heat_means(setting, troubles)
    body = replace(
        _cool(setting, troubles),
        known=known(setting, troubles),
        means=[stops],
        spare=[
            *paragraphs(means.text),
            *over_lines(troubles),
            *paragraphs(*means.more, *half_hatched(setting, troubles)),
        ],
        ending=ending(setting),
    )
    read = hottest.water_c
    water = amounts.temperature(read.value, setting.unit)
    now = is_fresh(setting, read)
    sentence = _WAS_HOT if not now else _HOT if len(troubles) == 1 else _HOTTEST
    ago = times.ago(times.elapsed(read.at, setting.written_at))
    lead = say(sentence, names=names(troubles), water=water, ago=ago)
    short = say("Hot: {water}", water=water) if now else say("Hot when last read: {water}", water=water)
    return letter("hot", subject(short, place(troubles), setting.station), lead, body, setting)


def _seen(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> str:
    """What heat does to cysts, and whether it was so hot."""
    hottest_c = max(max(trouble.extreme_c, trouble.water_c.value) for trouble in troubles)
    if hottest_c > DIES_ABOVE_C:
        dies = amounts.both_units(DIES_ABOVE_C, setting.unit)
        beyond = say("Above {temperature} they die. This limit was passed.", temperature=dies)
    elif hottest_c > STOPS_ABOVE_C:
        beyond = say("It reached {temperature}.", temperature=amounts.temperature(hottest_c, setting.unit))
    else:
        beyond = say("It was not seen so hot.")
    return f"{heat_stops(setting)} {beyond}"


def _cool(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> Body:
    """What to do about it, with what to mind and what besides."""
    if heated(troubles) and not lives(troubles):
        return _see_to_heaters(setting, troubles)
    by_lamp = _by_lamp(setting, troubles)
    now, later = _by_switch(troubles) if by_lamp else _by_shade(troubles)
    ask = whom_to_ask(troubles, ASK_ABOUT_LAMP if by_lamp else ASK_ABOUT_BLIND)
    return Body(
        action(setting, stuck_first(troubles, now), stuck_first(troubles, later)),
        care=_care(near_mains=by_lamp or bool(heated(troubles))),
        besides=(*unplug_besides(troubles), *nobody_must_come(setting, ask)),
    )


def _see_to_heaters(
    setting: Setting, vessels: Sequence[TemperatureTrouble] | Sequence[TemperatureAhead]
) -> Body:
    """Where nothing is known to live, a heater is all there is to see to."""
    ask = whom_to_ask(vessels, ASK_ABOUT_BLIND)
    return Body(
        action(setting, idle_heaters(vessels)),
        care=_care(near_mains=True),
        besides=nobody_must_come(setting, ask),
    )


def _care(*, near_mains: bool) -> list[Caution]:
    return [*([mains()] if near_mains else []), Caution(say(NO_FIRE_ALARM))]


def _by_lamp(setting: Setting, vessels: Sequence[TemperatureTrouble] | Sequence[TemperatureAhead]) -> bool:
    """Whether a lamp is what to look at: one that burns; where nobody is there now, any that may then."""
    return any(one.lamp_lit if setting.attended_now else one.has_lamp for one in vessels)


def _by_switch(troubles: Sequence[TemperatureTrouble]) -> tuple[str, str]:
    """What to do about a lamp, now and later."""
    now = say(
        "switch the lamp off at its switch or timer, and shade {them} from the sun. Do not add ice.",
        them=them(troubles),
    )
    if to_heat(troubles):  # the heater comes first
        return now, say(
            "look whether lamp or sun heats {them}, too. Do not add ice.",
            them=them(troubles),
        )
    return now, say(
        "look first whether lamp or sun heats {them}, and put that right. Do not add ice.",
        them=them(troubles),
    )


def _by_shade(troubles: Sequence[TemperatureTrouble]) -> tuple[str, str]:
    """What to do about the sun, now and later."""
    if heated(troubles):
        shade = say(_SHADE_ONLY, them=them(troubles))
        return shade, shade
    now = say(
        "shade {them} from the sun, or move {them} to a cooler place, gently. Do not add ice.",
        them=them(troubles),
    )
    later = say(
        "shade {them} from the sun first, or move {them} to a cooler place, gently. Do not add ice.",
        them=them(troubles),
    )
    return now, later


@in_its_language
def hot_ahead_letter(setting: Setting, coming: Sequence[TemperatureAhead]) -> LetterText:
    """Heat to come, while somebody is there. One letter for all alike; `coming` holds at least one."""
    first = max(coming, key=lambda one: one.extreme_c.p50)
    value = about(setting, first)
    stops = [_foreseen(setting, coming)] if hatches(coming) else []
    means = heat_means(setting, coming)
    sun = [say(_LIKE_SUN)] if any(one.sun for one in coming) else []
    body = replace(
        _keep_cool(setting, coming),
        known=known_ahead(setting, coming),
        spare=[
            *paragraphs(*stops, *sure_lines(coming), *sun, means.text),
            *over_lines(coming),
            *paragraphs(*means.more, say(FORECAST)),
        ],
        ending=ending(setting),
    )
    when = foreseen_time(first, setting.written_at)
    lead = say(
        _HOT_LIKELY if is_likely(first) else _HOT_POSSIBLE, when=when, names=names(coming), value=value
    )
    short = foreseen_time_short(first, setting.written_at)
    subject_line = subject(
        say("Hot {when}: about {value}", when=short, value=value), place(coming), setting.station
    )
    return letter("hot", subject_line, lead, body, setting)


def _foreseen(setting: Setting, coming: Sequence[TemperatureAhead]) -> str:
    """What heat does to cysts, and whether it may get so hot."""
    hottest_c = max(one.extreme_c.p90 for one in coming)
    if hottest_c > DIES_ABOVE_C:
        dies = amounts.both_units(DIES_ABOVE_C, setting.unit)
        beyond = say("Above {temperature} they die. It could get that hot.", temperature=dies)
    elif hottest_c > STOPS_ABOVE_C:
        beyond = say("It could get that hot.")
    else:
        beyond = say("It is not likely to get that hot.")
    return f"{heat_stops(setting)} {beyond}"


def _keep_cool(setting: Setting, coming: Sequence[TemperatureAhead]) -> Body:
    """What to do about it before, with what to mind and what besides."""
    if heated(coming) and not lives(coming):
        return _see_to_heaters(setting, coming)
    stays = 0 if goes_before(setting, coming) else 1
    now, later, ask = _against_heat(setting, coming, stays)
    return Body(
        action(setting, switches_off_first(coming, now, stays), switches_off_first(coming, later)),
        care=_care(near_mains=ask == ASK_ABOUT_LAMP or bool(heated(coming))),
        besides=(*unplug_besides(coming), *nobody_must_come(setting, whom_to_ask(coming, ask))),
    )


def _against_heat(setting: Setting, coming: Sequence[TemperatureAhead], stays: int) -> tuple[str, str, str]:
    """What to do about sun, lamp or room, now and later, and whom to ask; empty where nothing helps."""
    moved, by_heater = unheated(coming), bool(to_heat(coming))
    if any(one.sun for one in coming):
        if not moved:
            return say(_BLIND_ONLY), say(_BLIND_ONLY), ASK_ABOUT_BLIND
        now = say(_OUT_OF_SUN[1 if by_heater else stays], them=them(moved))
        later = say(
            "draw the blind first, or move {them}, gently, out of the sun. Do not add ice.", them=them(moved)
        )
        return now, now if by_heater else later, ASK_ABOUT_BLIND
    if _by_lamp(setting, coming):
        now = say("switch the lamp off at its switch or timer until it is cooler. Do not add ice.")
        later = say("see whether the lamp still heats the water; if so, switch it off. Do not add ice.")
        return now, later, ASK_ABOUT_LAMP
    if not moved:
        return "", "", ASK_ABOUT_CUPS
    now = say(_TO_THE_COOL[1 if by_heater else stays], them=them(moved))
    later = say("move {them}, gently, to a cooler place first. Do not add ice.", them=them(moved))
    return now, now if by_heater else later, ASK_ABOUT_CUPS
