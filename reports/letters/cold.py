"""The cold letter: water below the comfort band, and cold that is foreseen."""

from collections.abc import Sequence
from math import floor, isfinite

from reports import amounts
from reports.language import in_its_language, say, to_say
from reports.letters.page import Action, Block, Caution, Heading, Paragraph, letter, subject
from reports.letters.sentences import (
    ASK_ABOUT_HEATING,
    KNOWN_ABOVE_C,
    RESTS_BELOW_C,
    action,
    best,
    names,
    next_letter,
    nobody_must_come,
    place,
    swimmers_best,
    them,
)
from reports.letters.warmth import (
    FORECAST,
    TemperatureAhead,
    TemperatureTrouble,
    about,
    foreseen_time,
    foreseen_time_short,
    is_likely,
    known,
    known_ahead,
)
from reports.records import LetterText, Setting

_COLD = to_say("Cold water in {names}: {water}.")
_COLDEST = to_say("Cold water in {names}: the coldest is at {water}.")
_SLOWER = to_say("Cold slows the hatch, so it comes later. Cold alone does not usually harm cysts.")
_NO_HEATER = to_say(
    "do not leave a heater or an extra lamp on beside the cups when nobody is there. Heaters "
    "and hot lamps have started fires. Your school's rules come first."
)
_COLD_LIKELY = to_say("Cold water is likely {when} in {names}: about {value}.")
_COLD_POSSIBLE = to_say("Cold water may come {when} in {names}: about {value}.")


@in_its_language
def cold_letter(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> LetterText:
    """Water below the comfort band. One letter for all vessels alike; `troubles` holds at least one."""
    coldest_c = min(trouble.water_c for trouble in troubles)
    water = amounts.temperature(coldest_c, setting.unit)
    blocks: list[Block] = [
        *known(setting, troubles),
        Heading(say("What it means")),
        Paragraph(_means(setting, troubles)),
        action(
            setting,
            say(
                "move the cups to a warmer place, gently, or warm the room; {best} suits the hatch best. "
                "Do not add hot water.",
                best=best(setting),
            ),
            say(
                "look at the room's heating first, and let the cups warm up with the room. Do not add "
                "hot water."
            ),
        ),
        *nobody_must_come(setting, ASK_ABOUT_HEATING),
        *_each_night(troubles),
        next_letter(setting),
    ]
    lead = say(_COLD if len(troubles) == 1 else _COLDEST, names=names(troubles), water=water)
    return letter(
        "cold",
        subject(say("Cold: {water}", water=water), place(troubles), setting.station),
        lead,
        blocks,
        setting,
    )


def _each_night(troubles: Sequence[TemperatureTrouble]) -> list[Block]:
    """What would end letters about a room that cools every night."""
    usual = [trouble for trouble in troubles if trouble.usual_c is not None and isfinite(trouble.usual_c)]
    if not usual:
        return []
    coldest_c = min(trouble.usual_c for trouble in usual if trouble.usual_c is not None)
    limit = f"{floor(2.0 * coldest_c) / 2.0:g}"  # as the station file writes it, in any language
    lines = [
        say(
            "This water passed its limit in a night before, too, and was back by day: maybe nothing is "
            "wrong, and the room just cools at night."
        ),
        say(
            "If that is warm enough for you, set a lower limit in the station file: with cold_c = "
            "{limit} none of these nights would have brought a letter.",
            limit=limit,
        ),
    ]
    if any(trouble.has_lamp for trouble in usual):
        lines.append(
            say(
                "Or have the lamp that the cups have burn at night, by its timer and its hours in the "
                "station file, where your school's rules allow it."
            )
        )
    lines.append(
        say(
            "Nights like these bring no letter of their own from now on. One comes where a night is clearly "
            "colder, or where it stays cold by day."
        )
    )
    return [Heading(say("Every night?")), Paragraph(" ".join(lines)), Caution(say(_NO_HEATER))]


def _means(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> str:
    hatching = any(t.hatched_fraction is None or t.hatched_fraction.p10 < 0.9 for t in troubles)
    sentences = [
        say(_SLOWER) if hatching else say("The hatch is all but over; what cold slows now is the animals.")
    ]
    coming = [t.water_c_min_next_16h.p10 for t in troubles if t.water_c_min_next_16h is not None]
    if hatching and min([trouble.extreme_c for trouble in troubles] + coming) < KNOWN_ABOVE_C:
        sentences.append(
            say(
                "Below {limit} it is not known how fast a hatch goes on, so the hatch times are "
                "least sure here.",
                limit=amounts.temperature(KNOWN_ABOVE_C, setting.unit, 0),
            )
        )
    if min(trouble.extreme_c for trouble in troubles) < RESTS_BELOW_C:
        limit = amounts.temperature(RESTS_BELOW_C, setting.unit, 0)
        sentences.append(say("Below {limit} all of that stands still until it is warmer again.", limit=limit))
    if any(t.hatched_fraction is not None and t.hatched_fraction.p90 > 0.01 for t in troubles):
        sentences.append(
            say(
                "Animals that already swim live best at {best}; how well they stand this cold "
                "is not known here.",
                best=swimmers_best(setting),
            )
        )
    return " ".join(sentences)


@in_its_language
def cold_ahead_letter(setting: Setting, coming: Sequence[TemperatureAhead]) -> LetterText:
    """Cold to come, while somebody is there. One letter for all alike; `coming` holds at least one."""
    first = min(coming, key=lambda one: one.extreme_c.p50)
    value = about(setting, first)
    blocks: list[Block] = [
        *known_ahead(setting, coming),
        Heading(say("What it means")),
        Paragraph(_means_ahead(setting, coming)),
        Paragraph(say(FORECAST)),
        _keep_warm(setting, coming),
        *nobody_must_come(setting, ASK_ABOUT_HEATING),
        Caution(say(_NO_HEATER)),
        next_letter(setting),
    ]
    when = foreseen_time(first.span, setting.written_at)
    lead = say(
        _COLD_LIKELY if is_likely(first) else _COLD_POSSIBLE, when=when, names=names(coming), value=value
    )
    short = foreseen_time_short(first.span, setting.written_at)
    subject_line = subject(
        say("Cold {when}: about {value}", when=short, value=value), place(coming), setting.station
    )
    return letter("cold", subject_line, lead, blocks, setting)


def _means_ahead(setting: Setting, coming: Sequence[TemperatureAhead]) -> str:
    coldest_c = min(one.extreme_c.p10 for one in coming)
    sentences = [
        say("Cold slows the hatch, so it comes later. Cold alone does not usually harm cysts (the eggs).")
    ]
    if coldest_c < KNOWN_ABOVE_C:
        limit = amounts.temperature(KNOWN_ABOVE_C, setting.unit, 0)
        sentences.append(say("Below {limit} it is not known how fast a hatch goes on.", limit=limit))
    if coldest_c < RESTS_BELOW_C:
        limit = amounts.temperature(RESTS_BELOW_C, setting.unit, 0)
        sentences.append(say("Below {limit} all of that stands still until it is warmer again.", limit=limit))
    sentences.append(say("Animals that already swim live best at {best}.", best=swimmers_best(setting)))
    return " ".join(sentences)


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
