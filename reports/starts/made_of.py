"""What a planned start was made with, in sentences: the water, the tin, the hours."""

from reports import amounts
from reports.language import say
from reports.starts.records import PlannedStart

# As daemon/planning/stated_warmth.py takes what somebody read off a thermometer once.
_STATED_ERROR_K = 1.0


def lines(plan: PlannedStart) -> list[str]:
    """All of it."""
    return [warmth_line(plan), tin_line(plan), *hours_lines(plan)]


def warmth_line(plan: PlannedStart) -> str:
    """What the water was taken to be."""
    if plan.day_c is None:
        return say("The water is forecast from what the station has learned of {vessel}.", vessel=plan.vessel)
    day = amounts.temperature(plan.day_c, plan.unit)
    if plan.heater_c is not None and plan.heater_c > plan.day_c:
        held = amounts.temperature(plan.heater_c, plan.unit)
        return say(
            "Water: the heater of {vessel} is taken to hold {held} day and night, warmer than the {day} "
            "stated.",
            vessel=plan.vessel,
            held=held,
            day=day,
        )
    if plan.night_c is None:
        return say(
            "Water: {day} while people are there; some degrees cooler at night, as rooms are.", day=day
        )
    night = amounts.temperature(plan.night_c, plan.unit)
    return say(
        "Water: {day} while people are there, {night} late at night; each give or take {error}.",
        day=day,
        night=night,
        error=amounts.difference(_STATED_ERROR_K, plan.unit, 0),
    )


def tin_line(plan: PlannedStart) -> str:
    """What is known of the cysts."""
    if plan.tin_learned:
        return say("Cysts: {tin}, as earlier hatches of it went.", tin=plan.tin)
    if not plan.tin_known:
        return say("Cysts: no tin {tin} is known, so as of any; tins differ by 40 to 50 %.", tin=plan.tin)
    if plan.tin and not plan.tin_asked:
        return say(
            "Cysts: {tin}. Its earlier hatches could not be looked up here, so it counts as any of its "
            "strain; tins differ by 40 to 50 %.",
            tin=plan.tin,
        )
    if plan.tin:
        return say("Cysts: {tin}, of which no hatch was seen yet: tins differ by 40 to 50 %.", tin=plan.tin)
    return say("Cysts: of no tin that is known; tins differ by 40 to 50 %.")


def hours_lines(plan: PlannedStart) -> list[str]:
    """In which hours people are taken to be there, and what is not known of that."""
    if plan.assumed_hours == "school":
        free = say("Holidays are not known here: see whether somebody is there on each of these days.")
    else:
        free = say("Holidays are known here only as days away in the station's file.")
    if not plan.assumed_hours:
        return [free]
    if plan.assumed_hours == "school":
        school = say(
            "There is no station file, so usual school hours are assumed: Monday to Friday 08:00 to 15:30, "
            "time zone {zone}.",
            zone=str(plan.made_at.tzinfo),
        )
        return [school, free]
    waking = say("The station's file names no hours in which people are there, so 07:00 to 21:00 is assumed.")
    return [waking, free]
