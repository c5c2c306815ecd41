"""The sentences of a planned start, as the command, the page and the calendar say them."""

from collections.abc import Mapping

from reports import amounts, times
from reports.language import say, to_say
from reports.letters.sentences import HYGIENE, NO_RELEASE, WASH
from reports.records import Span
from reports.starts.records import Moments, Option, PlannedStart, Warned

_SURE, _NEVER = 0.955, 0.005  # no model of a hatch knows better

# Each kind of day: its title, and what is done then.
DAYS: Mapping[str, tuple[str, str]] = {
    "buy": (
        to_say("See to salt, cysts and vessels"),
        to_say("Look what the dose card asks for, and buy what is missing, with some spare."),
    ),
    "water": (
        to_say("Let the water stand"),
        to_say("Fill tap water into clean vessels and let it stand a day, or as your water company says."),
    ),
    "treat": (
        to_say("Water that cannot stand a day"),
        to_say(
            "Take tap water without chlorine as it is. Else treat it with a water conditioner first, as its "
            "packet says; your water company knows which it is."
        ),
    ),
    "set": (
        to_say("Set the cysts"),
        to_say("Stir salt and soda in, give the cysts on top, and write it in the care log."),
    ),
    "light": (
        to_say("Light on the cysts"),
        to_say(
            "Give them bright light for the first hour or two, ten minutes at least: kept dark, cysts wait."
        ),
    ),
    "hatch": (
        to_say("Half hatched, four times in five within this time"),
        to_say("Look with a torch from the side, and note the first swimmers: that makes the tin known."),
    ),
    "lesson": (
        to_say("The lesson"),
        to_say("Note how many have hatched, as a share judged by eye."),
    ),
    "first-feed": (
        to_say("First feed"),
        to_say("A pinch and no more, only if animals swim and the water is clear."),
    ),
    "feed": (
        to_say("Feed"),
        to_say("A pinch, only where the water has cleared since the last."),
    ),
    "fill": (
        to_say("Fill up before you leave"),
        to_say("Pour plain water, not salt water, up to the mark. Stop there."),
    ),
    "leave": (
        to_say("End the batch, or fill up before you leave"),
        to_say(
            "Where nobody comes to feed in the time away, note what became of it, and end the batch now. "
            "Else pour plain water, not salt water, up to the mark. Stop there."
        ),
    ),
    "wrap-up": (
        to_say("Wrap-up"),
        to_say("Note what became of it, and end the batch. What is left is binned as your school says."),
    ),
}
CARE: Mapping[str, str] = {
    "set": HYGIENE,
    "lesson": HYGIENE,
    "first-feed": WASH,
    "feed": WASH,
    "fill": WASH,
    "leave": NO_RELEASE,
    "wrap-up": NO_RELEASE,
}

_WARNED: Mapping[str, str] = {
    "unattended-lesson": to_say("The station's file has nobody there when the lesson begins."),
    "school-out": to_say("When the lesson begins, usual school hours have nobody there."),
    "away-lesson": to_say("The lesson lies on days that the station's file calls away."),
    "nobody-before": to_say("Nobody is there before the lesson to set the cysts."),
    "not-met": to_say("No time at which somebody is there lets it hatch in the lesson."),
    "none-swim": to_say(
        "No time at which somebody is there is early enough for animals to swim in the lesson."
    ),
    "cold-swim": to_say(
        "Take a warmer place, or hold the water warm with a heater. In water so cold animals surely swim in "
        "no lesson, however early the cysts are set within ten days of it."
    ),
    "hardly-met": to_say("Hardly any time at which somebody is there lets it hatch in the lesson."),
    "never": to_say(
        "So cold that half of them hatch later than a month on, or never: at its warmest the water is at "
        "{water}. Take a warmer place, or hold the water warm with a heater."
    ),
    "late": to_say(
        "Take a warmer place, or hold the water warm with a heater. In water so cold half of them may hatch "
        "later than a month on, or never. So no time to set and no days are named here."
    ),
    "wide": to_say(
        "Take a warmer place, or hold the water warm with a heater. In water so cold nobody knows within a "
        "week when they hatch. So no time to set and no days are named here."
    ),
    "cold": to_say(
        "The water gets as cold as {water}. How fast cysts hatch below {known} is not known, so the times "
        "are wide."
    ),
    "hot": to_say(
        "The water gets as warm as {water}. How fast cysts hatch above {known} is not known, so the times "
        "are wide."
    ),
    "stops": to_say(
        "The water gets as warm as {water}: above {limit} cysts stop, and may not "
        "recover. Take a cooler place."
    ),
    "weekend": to_say("Half of them hatch while nobody is there: {chance}; {span}."),
    "away": to_say("Half of them hatch in the holidays: {chance}; {span}."),
    "unfed": to_say(
        "Nobody is there for the first feed: {span}. Animals may starve. Have somebody come and give a pinch "
        "early in that time, end the batch before, or plan for another week."
    ),
    "night-warmer": to_say(
        "By night the water is stated warmer than by day: see whether the two were swapped."
    ),
    "unstood": to_say(
        "There is no time left to let tap water stand a day. Have a water conditioner at hand, or tap water "
        "without chlorine."
    ),
    "low": to_say("One setting alone mostly misses a lesson this short."),
}


# Those that leave a plan without days.
NO_DAYS = frozenset({"never", "stops", "late", "wide", "not-met", "none-swim", "cold-swim", "nobody-before"})


def amounts_line(plan: PlannedStart) -> str:
    """Where the amounts of all of it stand."""
    dose = f"naupliad plan dose --vessels {plan.vessels} --volume-ml {plan.mark_ml:g}"
    return say("For the amounts: {command}", command=dose)


def text_of(kind: str) -> str:
    """What is done on a day of that kind, with its care."""
    _, what = DAYS[kind]
    care = CARE.get(kind)
    return f"{say(what)} {say(care)}" if care else say(what)


def chance(share: float) -> str:
    """ "8 of 100": how often of a hundred."""
    if share >= _SURE:
        return say("more than 95 of 100")
    if share < _NEVER:
        return say("less than 1 of 100")
    return say("{count} of 100", count=round(share * 100))


def set_line(plan: PlannedStart, option: Option) -> str:
    """When to set, and until when of that day it is as good."""
    when = times.on_moment(option.set_at, plan.made_at)
    began, ended = option.good.began, option.good.ended
    if began == ended:
        return say("Set the cysts {when}.", when=when)
    return say(
        "Set the cysts {when}; any time from {began} to {ended} is about as good.",
        when=when,
        began=times.clock(began),
        ended=times.clock(ended),
    )


def half_line(plan: PlannedStart, option: Option) -> str:
    """When half of them have hatched then."""
    likely = option.t50.p50
    if likely is None:
        return say("Half of them hatch later than a month on, or never.")
    return say(
        "Half of them have hatched {likely}; four times in five {range}.",
        likely=times.on_moment(times.believed_moment(likely), plan.made_at),
        range=span_of(plan, option.t50),
    )


def other_line(plan: PlannedStart, option: Option) -> str:
    """Another day's best time."""
    return say(
        "{when}: {chance}; half hatched {range}",
        when=times.moment(option.set_at, plan.made_at),
        chance=chance(option.share_in_lesson),
        range=span_of(plan, option.t50),
    )


def span_of(plan: PlannedStart, moments: Moments) -> str:
    """ "Wed 04:00 to 18:30", of what is believed; what is later than is calculated is no moment."""
    if moments.p10 is None:
        return say("later than a month on, or never")
    early = times.believed_moment(moments.p10)
    if moments.p90 is None:
        return say(
            "from {early} to later than a month on, or never", early=times.short_dated(early, plan.made_at)
        )
    return times.short_span(Span(early, times.believed_moment(moments.p90)), plan.made_at)


def lesson_lines(option: Option) -> list[str]:
    """How likely it is that the lesson is met; of one in which animals are to swim, how many do."""
    if option.out is not None:
        out = amounts.percent_range(option.out)
        return [say("As the lesson begins, animals swim: {share} of what can hatch is out.", share=out)]
    return [
        say("Half of them hatch within the lesson: {chance}.", chance=chance(option.share_in_lesson)),
        say("Hatching is under way in the lesson: {chance}.", chance=chance(option.under_way)),
    ]


def two_cups_lines(plan: PlannedStart) -> list[str]:
    """Two cups instead of one, where that helps: the likeliest way to see a hatch."""
    hedge = plan.hedge
    if hedge is None or not plan.options:
        return []
    one = say(
        "Better set two cups at two times: one {first}, one {second}.",
        first=times.on_moment(hedge.first, plan.made_at),
        second=times.on_moment(hedge.second, plan.made_at),
    )
    chances = {"one": chance(plan.options[0].share_in_lesson), "two": chance(hedge.share_in_lesson)}
    return [
        one,
        say("That one of the two meets the lesson: {two}, where one cup alone has {one}.", **chances),
    ]


def warned(plan: PlannedStart, one: Warned) -> str:
    """What speaks against it."""
    limits = {"cold": 15.0, "hot": 27.0, "stops": 33.0}
    values: dict[str, object] = {}
    if one.water_c is not None:
        values["water"] = amounts.temperature(one.water_c, plan.unit, 0)
        limit = amounts.temperature(limits.get(one.kind, 0.0), plan.unit, 0)
        values |= {"known": limit, "limit": limit}
    if one.share is not None:
        values["chance"] = chance(one.share)
    if one.span is not None:
        values["span"] = times.short_span(one.span, plan.made_at)
    kind = "school-out" if one.kind == "unattended-lesson" and plan.assumed_hours == "school" else one.kind
    return say(_WARNED[kind], **values)


def lesson_title(plan: PlannedStart) -> str:
    """The lesson that is meant."""
    return title_of(plan, plan.lesson)


def title_of(plan: PlannedStart, lesson: Span) -> str:
    """A lesson's day and hours."""
    began, ended = lesson.began, lesson.ended
    if began.date() == ended.date():
        day = times.dated(began.date(), plan.made_at.date())
        return say("{day}, {span}", day=day, span=times.between(began, ended))
    return times.short_span(lesson, plan.made_at)
