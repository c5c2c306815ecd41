"""A planned start as the page lists it."""

from dataclasses import dataclass

from reports import amounts, times
from reports.language import in_its_language, say
from reports.starts import better as ways_to_more
from reports.starts import made_of as made_with
from reports.starts import words
from reports.starts.records import PlannedStart


@dataclass(frozen=True, slots=True)
class ShownDay:
    """One thing to do or to expect: when, what it is called, and what is done."""

    when: str
    title: str
    what: str
    kind: str


@in_its_language
def heading(plan: PlannedStart) -> str:
    """The lesson that is meant."""
    return say("For {lesson}", lesson=words.lesson_title(plan))


@in_its_language
def best(plan: PlannedStart) -> tuple[str, list[str]]:
    """The best time in one line, and what is known of it; empty where there is none."""
    if not plan.options:
        return "", []
    option = plan.options[0]
    facts = [words.half_line(plan, option), *words.lesson_lines(option), *words.two_cups_lines(plan)]
    return words.set_line(plan, option), facts


@in_its_language
def against(plan: PlannedStart) -> list[str]:
    """What speaks against it."""
    return [words.warned(plan, one) for one in plan.warnings]


@in_its_language
def better(plan: PlannedStart) -> list[str]:
    """What would meet the lesson more often."""
    return ways_to_more.lines(plan)


@in_its_language
def others(plan: PlannedStart) -> list[str]:
    """The best time of other days."""
    return [words.other_line(plan, one) for one in plan.options[1:]]


@in_its_language
def made_of(plan: PlannedStart) -> list[str]:
    """What was taken for water and tin."""
    return made_with.lines(plan)


@in_its_language
def days(plan: PlannedStart) -> list[ShownDay]:
    """Day by day."""
    found = []
    for day in plan.days:
        title, what = words.DAYS[day.kind]
        found.append(ShownDay(times.dated_span(day.span), say(title), say(what), day.kind))
    return found


@in_its_language
def hours(plan: PlannedStart) -> list[tuple[str, str, bool]]:
    """The picture in words: a moment, the share hatched, and whether it is in the lesson."""
    return [
        (
            times.short_moment(one.at),
            amounts.percent_range(one.hatched),
            plan.lesson.began <= one.at <= plan.lesson.ended,
        )
        for one in plan.picture
    ]
