"""What a viability test of a tin says, in words: for the page and for the command."""

from dataclasses import dataclass
from math import ceil

from reports import amounts, words
from reports.language import in_its_language, say, say_many, to_say
from reports.records import Range

_HEADLINES = {
    "go": to_say("Good enough: build the class on this tin."),
    "more-time": to_say("Too early to say: give it more time."),
    "count-more": to_say("Not clear yet: count more."),
    "reorder": to_say("Too few hatch: get another tin."),
}

_NONE_YET = 0.01  # said as "less than 1 %", and its counterpart as "more than 99 %"


@dataclass(frozen=True, slots=True)
class SaidTest:
    """A test and what it says. `share`, `low` and `high` are fractions; `unit` is "C" or "F".

    `verdict` is a key of `_HEADLINES`; `count_more` None where no class can count so many. `cysts_a_cup` are
    for 20 animals: fewest, likely, most. `hours`, `water_c` and `out` are None where it was not said how long
    the test lasted, `in_the_end` also where that was long enough; without hours `times` say how long would
    do: pairs of °C and hours. `enough_h` is None too where no time is known that does. So many were in the
    `umbrella` stage, and tell after `umbrella_h` more; `percentage` is of `full` cysts, None where those that
    were left were not counted. `doubted`: more hatched than can have by then.
    """

    language: str
    unit: str
    put: int
    hatched: int
    share: float
    low: float
    high: float
    verdict: str
    count_more: int | None
    cysts_a_cup: tuple[int, int, int] | None
    umbrella: int = 0
    umbrella_h: float = 0.0
    full: int = 0
    percentage: Range | None = None
    doubted: bool = False
    hours: float | None = None
    water_c: float | None = None
    out: Range | None = None
    in_the_end: Range | None = None
    enough_h: float | None = None
    times: tuple[tuple[float, float], ...] = ()


@in_its_language
def headline(test: SaidTest) -> str:
    """What to do."""
    if test.doubted:
        return say("Are hours and warmth right? So many cannot have hatched yet.")
    if test.verdict == "count-more" and test.count_more is None:
        return say("Near to half: counting more hardly tells.")
    return say(_HEADLINES[test.verdict])


@in_its_language
def facts(test: SaidTest) -> list[str]:
    """What that rests on, a line or two each."""
    return [
        say(
            "{hatched} of {put} hatched: {share}; of this tin {low} to {high}, 95 times in 100.",
            hatched=test.hatched,
            put=test.put,
            share=amounts.percent(test.share),
            low=amounts.number(test.low * 100),
            high=amounts.percent(test.high),
        ),
        *_of_full(test),
        *_on_their_way(test),
        *_of_time(test),
        *([] if test.doubted else [*_to_come(test.in_the_end), *_next_step(test), *_cysts(test)]),
    ]


def _of_full(test: SaidTest) -> list[str]:
    if test.percentage is None:
        return []
    return [
        say(
            "Hatching percentage, of full cysts alone: {share} ({low} to {high}, 95 times in 100); {hatched} "
            "of {full}.",
            share=amounts.percent(test.percentage.p50),
            low=amounts.number(test.percentage.p10 * 100),
            high=amounts.percent(test.percentage.p90),
            hatched=test.hatched,
            full=test.full,
        )
    ]


def _on_their_way(test: SaidTest) -> list[str]:
    if not test.umbrella:
        return []
    return [
        say_many(
            "{count} more hangs below its shell (umbrella stage): it is on its way.",
            "{count} more hang below their shells (umbrella stage): they are on their way.",
            test.umbrella,
        )
    ]


def _of_time(test: SaidTest) -> list[str]:
    if test.hours is None or test.water_c is None or test.out is None:
        told = [
            say(
                "{hours} at {warmth}",
                hours=_hours(ceil(hours)),
                warmth=amounts.temperature(water_c, test.unit, 0),
            )
            for water_c, hours in test.times
        ]
        return [
            say(
                "This holds where the test was long enough: {times}. Else say how long it was.",
                times=words.joined(told),
            )
        ]
    return [
        say(
            "After {hours} at {warmth} a usual tin has {likely} of its hatch behind it; {slow}.",
            hours=_hours(test.hours),
            warmth=amounts.temperature(
                test.water_c, test.unit, 0 if test.water_c == round(test.water_c) else 1
            ),
            likely=amounts.percent(test.out.p50),
            slow=_slow_and_quick(test.out),
        ),
    ]


def _slow_and_quick(out: Range) -> str:
    """One tin in ten is slower, one is quicker. What is as good as the usual is not said twice."""
    likely, slow, quick = map(amounts.percent, (out.p50, out.p10, out.p90))
    slower = slow != likely and out.p50 >= _NONE_YET
    quicker = quick != likely and out.p50 <= 1.0 - _NONE_YET
    if slower and quicker:
        return say("a slow one {slow}, a quick one {quick}", slow=slow, quick=quick)
    if slower:
        return say("a slow one {slow}", slow=slow)
    if quicker:
        return say("a quick one {quick}", quick=quick)
    return say("a slow one too") if out.p50 > 0.5 else say("a quick one too")


def _to_come(in_the_end: Range | None) -> list[str]:
    if in_the_end is None:
        return []
    return [say("With those still to come, of all cysts: {share}.", share=amounts.percent_range(in_the_end))]


def _next_step(test: SaidTest) -> list[str]:
    if test.verdict == "more-time":
        if _umbrellas_alone(test):
            return [say("Look again {hours} later, and count them too.", hours=_hours(test.umbrella_h))]
        if test.enough_h is None:
            warm = amounts.span_c(20.0, 28.0, test.unit)
            return [
                say("At this warmth nobody can say how long it takes: keep the dish at {warm}.", warm=warm)
            ]
        hours = _hours(ceil(test.enough_h))
        return [say("Look again {hours} after the cysts were wetted, if it stays as warm.", hours=hours)]
    if test.verdict != "count-more":
        return []
    if test.count_more is None:
        return [say("Set twice the cysts, or get another tin.")]
    return [
        say_many(
            "If they go on like this, {count} cyst more tells whether at least half hatch.",
            "If they go on like this, {count} cysts more tell whether at least half hatch.",
            test.count_more,
        )
    ]


def _umbrellas_alone(test: SaidTest) -> bool:
    """Whether it was long enough, but for those that are on their way."""
    long_enough = test.enough_h is not None and test.hours is not None and test.hours >= test.enough_h
    return test.umbrella > 0 and (test.hours is None or long_enough)


def _cysts(test: SaidTest) -> list[str]:
    if test.cysts_a_cup is None or test.verdict == "more-time":
        return []
    fewest, likely, most = map(amounts.number, test.cysts_a_cup)
    return [
        say(
            "For 20 animals in a cup: about {likely} cysts ({fewest} to {most}).",
            likely=likely,
            fewest=fewest,
            most=most,
        )
    ]


@in_its_language
def notes(_test: SaidTest) -> list[str]:
    """From where the limit is, and what a test cannot tell."""
    return [
        say(
            "A tin will do where at least half hatch: our own judgement. Below that a cup holds more dead "
            "cysts than animals."
        ),
        say(
            "Of 15 tins from shops the middle one had 79 %, the outermost 5 and 99.6 % (López-Torres & "
            "Lizárraga-Partida 2001). A good label says 90 %."
        ),
        say(
            "Count every cyst that you put in, and every animal. The trade leaves out shells that were empty "
            "from the start; this test does not, so it finds a little less."
        ),
    ]


def _hours(hours: float) -> str:
    """ "56 hours", "20.5 hours"."""
    return say("{number} hours", number=amounts.number(hours, 0 if abs(hours - round(hours)) < 0.05 else 1))
