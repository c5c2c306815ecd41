"""A planned start as plain text: what the command prints."""

from reports import amounts, times
from reports.language import in_its_language, say
from reports.starts import better, made_of, words
from reports.starts.records import Day, PlannedStart

_BAR = 30
_EVERY_H = 3  # of the picture in words


@in_its_language
def start_text(plan: PlannedStart) -> str:
    """The best option in full, the others in a line each, what speaks against it, and the days."""
    parts = [say("When to set cysts for {lesson}", lesson=words.lesson_title(plan))]
    if plan.options:
        best = plan.options[0]
        lines = [words.set_line(plan, best), words.half_line(plan, best), *words.lesson_lines(best)]
        lines += words.two_cups_lines(plan)
        parts.append("\n".join(lines))
    parts += ["\n".join(f"! {words.warned(plan, one)}" for one in plan.warnings)] if plan.warnings else []
    parts += _better(plan)
    parts += _others(plan)
    parts.append("\n".join(made_of.lines(plan)))
    if plan.picture:
        parts.append("\n".join([say("Hatched by then, if set at the best time:"), *_picture(plan)]))
    if plan.days:
        parts.append("\n".join([say("Day by day:"), *map(_day, plan.days)]))
        parts.append(words.amounts_line(plan))
    return "\n\n".join(parts)


@in_its_language
def warned_texts(plan: PlannedStart) -> list[str]:
    """What speaks against it, a sentence or two each."""
    return [words.warned(plan, one) for one in plan.warnings]


@in_its_language
def no_days_reason(plan: PlannedStart) -> str:
    """Why a plan has no days, in a line."""
    reasons = [one for one in plan.warnings if one.kind in words.NO_DAYS]
    return " ".join(words.warned(plan, one) for one in reasons)


@in_its_language
def day_texts(plan: PlannedStart) -> list[str]:
    """What is done on each day."""
    return [words.text_of(one.kind) for one in plan.days]


def _better(plan: PlannedStart) -> list[str]:
    lines = better.lines(plan)
    if plan.swimmers is not None:
        lines.append(say("Its days: the same command with {option}.", option="--swimmers"))
    return ["\n".join(lines)] if lines else []


def _others(plan: PlannedStart) -> list[str]:
    if len(plan.options) < 2:
        return []
    lines = [words.other_line(plan, one) for one in plan.options[1:]]
    return ["\n".join([say("Other days:"), *lines])]


def _picture(plan: PlannedStart) -> list[str]:
    """Every third hour, as a bar of the likely share with its range."""
    found = []
    for one in plan.picture[::_EVERY_H]:
        bar = "#" * round(one.hatched.p50 * _BAR)
        likely = amounts.percent(one.hatched.p50)
        span = amounts.bare_span(round(100 * one.hatched.p10), round(100 * one.hatched.p90))
        inside = plan.lesson.began <= one.at <= plan.lesson.ended
        mark = "*" if inside else " "
        found.append(f"{times.short_moment(one.at)} {mark}{bar:<{_BAR}} {likely} ({span})")
    return found


def _day(day: Day) -> str:
    title, _ = words.DAYS[day.kind]
    return f"{times.dated_span(day.span)}: {say(title)}. {words.text_of(day.kind)}"
