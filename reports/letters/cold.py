"""The cold letter: water below the comfort band, and cold that is foreseen."""

from collections.abc import Sequence
from math import floor, isfinite

from reports import amounts, times
from reports.language import in_its_language, say, to_say
from reports.letters.blocks import Action, Block, Body, Caution, paragraphs
from reports.letters.freshness import is_fresh
from reports.letters.heaters import (
    HEATER,
    HEATER_BEFORE_GOING,
    heated,
    heaters_besides,
    idle_heaters,
    unheated,
    whom_to_ask,
)
from reports.letters.page import letter, subject
from reports.letters.remedies import out_of_the_cold
from reports.letters.sentences import (
    ASK_ABOUT_CUPS,
    ASK_ABOUT_HEATING,
    KNOWN_ABOVE_C,
    RESTS_BELOW_C,
    action,
    best,
    ending,
    names,
    nobody_must_come,
    place,
    swimmers_best,
)
from reports.letters.stages import Staged, cold_means, hatches, is_all_over, lives, over_lines
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

_COLD = to_say("Cold water in {names}: {water}.")
_COLDEST = to_say("Cold water in {names}: the coldest is at {water}.")
_WAS_COLD = to_say("Cold water in {names} when it was last read, {ago}: {water}.")
_NO_HEATER_ALONE = to_say("Leave no heater on with nobody there.")
_NO_HEATER = to_say(
    "Leave no heater or hot lamp on with nobody there: they have started fires. Your rules come first."
)
# What keeps water warm: before somebody goes, and where they stay.
_BY_THE_ROOM = (
    to_say("before you go, ask for the room's heating to stay on for that time."),
    to_say("ask for the room's heating to stay on for that time."),
)
_BY_THE_PLACE = (
    to_say(
        "before you go, move {them}, gently, to the warmest place you have, away from the window. Do not add "
        "hot water."
    ),
    to_say("move {them}, gently, to the warmest place you have, away from the window. Do not add hot water."),
)
_COLD_LIKELY = to_say("Cold water is likely {when} in {names}: about {value}.")
_COLD_POSSIBLE = to_say("Cold water may come {when} in {names}: about {value}.")


@in_its_language
def cold_letter(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> LetterText:
    """Water below the comfort band. One letter for all vessels alike; `troubles` holds at least one."""
    coldest = min(troubles, key=lambda trouble: trouble.water_c.value)
    ask = ASK_ABOUT_CUPS if out_of_the_cold(setting, troubles) else ASK_ABOUT_HEATING
    usual, heaters = _each_night(troubles), heaters_besides(troubles)
    proposed, also = _proposal(usual)
    body = Body(
        _warm_up(setting, troubles),
        care=(*heaters.care, *_alone(setting, troubles, usual)),
        besides=(*heaters.asked, *nobody_must_come(setting, whom_to_ask(troubles, ask))),
        known=known(setting, troubles),
        means=proposed,
        spare=[*paragraphs(*also), *_means(setting, troubles)],
        ending=ending(setting),
    )
    read = coldest.water_c
    water = amounts.temperature(read.value, setting.unit)
    now = is_fresh(setting, read)
    sentence = _WAS_COLD if not now else _COLD if len(troubles) == 1 else _COLDEST
    ago = times.ago(times.elapsed(read.at, setting.written_at))
    lead = say(sentence, names=names(troubles), water=water, ago=ago)
    short = say("Cold: {water}", water=water) if now else say("Cold when last read: {water}", water=water)
    return letter("cold", subject(short, place(troubles), setting.station), lead, body, setting)


def _alone(
    setting: Setting, troubles: Sequence[TemperatureTrouble], usual: Sequence[TemperatureTrouble]
) -> list[Caution]:
    """What to mind of heaters where somebody may be led to leave one on: night after night, or now."""
    if unheated(usual):
        return [Caution(say(_NO_HEATER))]
    asked = setting.attended_now and lives(troubles) and not out_of_the_cold(setting, troubles)
    return [Caution(say(_NO_HEATER_ALONE))] if asked and unheated(troubles) else []


def _warm_up(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> Action:
    if away := out_of_the_cold(setting, troubles):
        return action(setting, *away)
    if not lives(troubles):
        return _look_after(setting, troubles)
    cold = unheated(troubles)
    if not cold:
        return action(setting, say(HEATER))
    moved = them(cold)
    now = (
        say(
            "move {them} to a warmer place, gently, or warm the room ({best} suits the hatch best). Do not "
            "add hot water.",
            them=moved,
            best=best(setting),
        )
        if hatches(troubles)
        else say(
            "move {them} to a warmer place, gently, or warm the room ({best} suits the animals best). Do not "
            "add hot water.",
            them=moved,
            best=swimmers_best(setting),
        )
    )
    later = say(
        "look at the room's heating first, and let {them} warm up with it. Do not add hot water.",
        them=moved,
    )
    return action(setting, now, later)


def _look_after(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> Action:
    """What to do where nothing is known to live: a heater first, for an emptied vessel may bare it."""
    if heated(troubles):
        return action(setting, idle_heaters(troubles))
    if not is_all_over(troubles):  # there may be what nobody recorded
        return action(setting, say("look at the room's heating, if it should be warm."))
    return action(
        setting,
        say("look at the room's heating, if it should be warm. Nothing here is harmed by the cold."),
    )


def _each_night(troubles: Sequence[TemperatureTrouble]) -> list[TemperatureTrouble]:
    """Those whose place just cools at night, as far as a limit that none of these nights passes is known."""
    return [one for one in troubles if one.usual_c is not None and isfinite(2.0 * one.usual_c)]


def _proposal(usual: Sequence[TemperatureTrouble]) -> tuple[list[str], list[str]]:
    """What would end letters about a room that cools every night, and what else would."""
    if not usual:
        return [], []
    coldest_c = min(trouble.usual_c for trouble in usual if trouble.usual_c is not None)
    limit = f"{floor(2.0 * coldest_c) / 2.0:g}"  # as the station file writes it, in any language
    proposal = [
        say("Every night? A night before was as cold: maybe its place just cools."),
        say(
            "If that is warm enough, set cold_c = {limit} in the station file, which none of these nights "
            "passed.",
            limit=limit,
        ),
        say("Now only a clearly colder night, or a cold day, brings a letter."),
    ]
    lamp = say("Or let a low-voltage LED burn at night, by timer and station file, if your rules allow it.")
    return [" ".join(proposal)], [lamp] if any(trouble.has_lamp for trouble in usual) else []


def _means(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> list[Block]:
    """What it means, the more important first."""
    means, coming = cold_means(setting, troubles), [one.water_c_min_next_16h for one in troubles]
    coldest_c = min(one.extreme_c for one in troubles)
    lowest_c = min([coldest_c, *(believed.p10 for believed in coming if believed is not None)])
    more = [*_stands_still(setting, troubles, coldest_c), *_unsure(setting, troubles, lowest_c), *means.more]
    half = half_hatched(setting, troubles)
    return [*paragraphs(means.text), *over_lines(troubles), *paragraphs(*more, *half)]


def _unsure(setting: Setting, vessels: Sequence[Staged], coldest_c: float) -> list[str]:
    if not hatches(vessels) or coldest_c >= KNOWN_ABOVE_C:
        return []
    limit = amounts.temperature(KNOWN_ABOVE_C, setting.unit, 0)
    return [say("Below {limit} it is not known how fast a hatch goes on.", limit=limit)]


def _stands_still(setting: Setting, vessels: Sequence[Staged], coldest_c: float) -> list[str]:
    if not hatches(vessels) or coldest_c >= RESTS_BELOW_C:
        return []
    limit = amounts.temperature(RESTS_BELOW_C, setting.unit, 0)
    return [say("Below {limit} a hatch stands still until it is warmer again.", limit=limit)]


@in_its_language
def cold_ahead_letter(setting: Setting, coming: Sequence[TemperatureAhead]) -> LetterText:
    """Cold to come, while somebody is there. One letter for all alike; `coming` holds at least one."""
    first = min(coming, key=lambda one: one.extreme_c.p50)
    value, heaters = about(setting, first), heaters_besides(coming)
    no_heater = [Caution(say(_NO_HEATER))] if unheated(coming) else []
    body = Body(
        _keep_warm(setting, coming),
        care=(*heaters.care, *no_heater),
        besides=(*heaters.asked, *nobody_must_come(setting, whom_to_ask(coming, ASK_ABOUT_HEATING))),
        known=known_ahead(setting, coming),
        spare=_means_ahead(setting, coming),
        ending=ending(setting),
    )
    when = foreseen_time(first, setting.written_at)
    lead = say(
        _COLD_LIKELY if is_likely(first) else _COLD_POSSIBLE, when=when, names=names(coming), value=value
    )
    short = foreseen_time_short(first, setting.written_at)
    subject_line = subject(
        say("Cold {when}: about {value}", when=short, value=value), place(coming), setting.station
    )
    return letter("cold", subject_line, lead, body, setting)


def _means_ahead(setting: Setting, coming: Sequence[TemperatureAhead]) -> list[Block]:
    """What it means, the more important first."""
    means, coldest_c = cold_means(setting, coming), min(one.extreme_c.p10 for one in coming)
    more = [*_stands_still(setting, coming, coldest_c), *_unsure(setting, coming, coldest_c), *means.more]
    said = [*sure_lines(coming), means.text]
    return [*paragraphs(*said), *over_lines(coming), *paragraphs(*more, say(FORECAST))]


def _keep_warm(setting: Setting, coming: Sequence[TemperatureAhead]) -> Action:
    stays = 0 if goes_before(setting, coming) else 1
    moved = unheated(coming)
    if not moved:
        if not lives(coming):
            return action(setting, idle_heaters(coming))
        return action(setting, say(HEATER if stays else HEATER_BEFORE_GOING), say(HEATER))
    later = say(
        "look first how warm it is, and let {them} warm up with the room. Do not add hot water.",
        them=them(moved),
    )
    sentences = _BY_THE_ROOM if any(one.has_lamp for one in moved) else _BY_THE_PLACE
    return action(setting, say(sentences[stays], them=them(moved)), later)
