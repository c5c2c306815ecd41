"""Letters of trouble with warmth: cold, hot."""

from collections.abc import Sequence

from reports import words
from reports.letters.page import Block, Facts, Heading, Paragraph, letter, subject
from reports.letters.parts import (
    ASK_ABOUT_BLIND,
    ASK_ABOUT_HEATING,
    ASK_ABOUT_LAMP,
    DIES_ABOVE_C,
    KNOWN_ABOVE_C,
    NO_FIRE_ALARM,
    RESTS_BELOW_C,
    STOPS_ABOVE_C,
    action,
    best,
    heat_stops,
    mains,
    name,
    names,
    next_letter,
    nobody_must_come,
    place,
    since,
    swimmers_best,
)
from reports.records import LetterText, Setting
from reports.tongue import in_its_language, say, to_say
from reports.troubles import TemperatureTrouble

_FOUND_BELOW = to_say("Found below the limit since {since}.")
_FOUND_ABOVE = to_say("Found above the limit since {since}.")
_COLDEST_SINCE = to_say("Coldest since then: {temperature}.")
_HOTTEST_SINCE = to_say("Hottest since then: {temperature}.")
_COLD = to_say("Cold water in {names}: {water}.")
_COLDEST = to_say("Cold water in {names}: the coldest is at {water}.")
_HOT = to_say("Hot water in {names}: {water}.")
_HOTTEST = to_say("Hot water in {names}: the hottest is at {water}.")
_SLOWER = to_say("Cold slows the hatch, so it comes later. Cold alone does not usually harm cysts.")


@in_its_language
def cold_letter(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> LetterText:
    """Water below the comfort band. One letter for all vessels alike; `troubles` holds at least one."""
    coldest_c = min(trouble.water_c for trouble in troubles)
    water = words.temperature(coldest_c, setting.unit)
    blocks: list[Block] = [
        *_known(setting, troubles),
        Heading(say("What it means")),
        Paragraph(_cold_means(setting, troubles)),
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


@in_its_language
def hot_letter(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> LetterText:
    """Water above the comfort band. One letter for all vessels alike; `troubles` holds at least one."""
    water = words.temperature(max(trouble.water_c for trouble in troubles), setting.unit)
    blocks: list[Block] = [
        *_known(setting, troubles),
        Heading(say("What it means")),
        Paragraph(_hot_means(troubles)),
        *(_cool_lamp(setting) if any(trouble.has_lamp for trouble in troubles) else _cool_sun(setting)),
        Paragraph(say(NO_FIRE_ALARM)),
        next_letter(setting),
    ]
    lead = say(_HOT if len(troubles) == 1 else _HOTTEST, names=names(troubles), water=water)
    return letter(
        "hot",
        subject(say("Hot: {water}", water=water), place(troubles), setting.station),
        lead,
        blocks,
        setting,
    )


def _cool_lamp(setting: Setting) -> tuple[Block, ...]:
    return (
        action(
            setting,
            say(
                "with dry hands, switch the lamp off at the wall, and keep the sun off the cups. Do not "
                "add ice."
            ),
            say(
                "check first whether the lamp or the sun makes the cups hot, and put right what does. Do "
                "not add ice."
            ),
        ),
        *nobody_must_come(setting, ASK_ABOUT_LAMP),
        mains(),
    )


def _cool_sun(setting: Setting) -> tuple[Block, ...]:
    return (
        action(
            setting,
            say("shade the cups from the sun, or move them to a cooler place, gently. Do not add ice."),
            say("shade the cups from the sun first, or move them to a cooler place, gently. Do not add ice."),
        ),
        *nobody_must_come(setting, ASK_ABOUT_BLIND),
    )


def _known(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> list[Block]:
    return [
        Heading(say("What is known")),
        *(Facts(name(trouble), _facts(setting, trouble)) for trouble in troubles),
    ]


def _facts(setting: Setting, trouble: TemperatureTrouble) -> tuple[str, ...]:
    unit, now = setting.unit, setting.written_at
    cold = trouble.kind == "cold"
    found, most = (_FOUND_BELOW, _COLDEST_SINCE) if cold else (_FOUND_ABOVE, _HOTTEST_SINCE)
    told = [
        say("Water now: {temperature}.", temperature=words.temperature(trouble.water_c, unit)),
        say("Limit: {temperature}.", temperature=words.temperature(trouble.limit_c, unit)),
        say(found, since=since(trouble.since, now)),
        say(most, temperature=words.temperature(trouble.extreme_c, unit)),
    ]
    if trouble.room_c is not None:
        told.append(say("Room air: {temperature}.", temperature=words.temperature(trouble.room_c, unit)))
    coming = trouble.water_c_min_next_16h
    if coming is not None and cold:
        told.append(
            say(
                "Coldest in the next 16 hours (a forecast): {temperature}.",
                temperature=words.temperature_range(coming, unit),
            )
        )
    return (*told, *_hatch_facts(setting, trouble))


def _hatch_facts(setting: Setting, trouble: TemperatureTrouble) -> list[str]:
    told = []
    if trouble.hatched_fraction is not None:
        hatched = words.percent_range(trouble.hatched_fraction)
        told.append(say("Hatched so far, of those that will (calculated): {share}.", share=hatched))
    if trouble.hatch_t50 is not None:
        told.append(
            say(
                "Half hatched (calculated): {when}.",
                when=words.moment_range(trouble.hatch_t50, setting.written_at),
            )
        )
    return told


def _cold_means(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> str:
    hatching = any(t.hatched_fraction is None or t.hatched_fraction.p10 < 0.9 for t in troubles)
    told = [
        say(_SLOWER) if hatching else say("The hatch is all but over; what cold slows now is the animals.")
    ]
    coming = [t.water_c_min_next_16h.p10 for t in troubles if t.water_c_min_next_16h is not None]
    if hatching and min([trouble.extreme_c for trouble in troubles] + coming) < KNOWN_ABOVE_C:
        told.append(
            say(
                "Below {limit} it is not known how fast a hatch goes on, so the hatch times are "
                "least sure here.",
                limit=words.temperature(KNOWN_ABOVE_C, setting.unit, 0),
            )
        )
    if min(trouble.extreme_c for trouble in troubles) < RESTS_BELOW_C:
        limit = words.temperature(RESTS_BELOW_C, setting.unit, 0)
        told.append(say("Below {limit} all of that stands still until it is warmer again.", limit=limit))
    if any(t.hatched_fraction is not None and t.hatched_fraction.p90 > 0.01 for t in troubles):
        told.append(
            say(
                "Animals that already swim live best at {best}; how well they stand this cold "
                "is not known here.",
                best=swimmers_best(setting),
            )
        )
    return " ".join(told)


def _hot_means(troubles: Sequence[TemperatureTrouble]) -> str:
    hottest_c = max(max(trouble.extreme_c, trouble.water_c) for trouble in troubles)
    told = [heat_stops()]
    if hottest_c > DIES_ABOVE_C:
        told.append(
            say(
                "Above {temperature} cysts in water die. This limit was passed.",
                temperature=words.both_units(DIES_ABOVE_C),
            )
        )
    elif hottest_c > STOPS_ABOVE_C:
        told.append(
            say("The water was above that. Whether the cysts recover can only be seen in the days to come.")
        )
    else:
        told.append(say("The water has not been seen above that. Warm water also leaves the cup faster."))
    told.append(say("Hot water holds less oxygen, so animals that swim have a harder time."))
    return " ".join(told)
