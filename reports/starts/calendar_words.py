"""A planned day as a calendar's entry. A calendar is read on any day, so no moment is called by one."""

from datetime import datetime

from reports import times
from reports.export.calendar_words import EntryWords
from reports.language import in_its_language, say
from reports.records import Setting
from reports.starts import kept, words
from reports.starts.kept import KeptPlan
from reports.starts.records import Day, PlannedStart
from reports.words import clean


@in_its_language
def day_entry(plan: PlannedStart, day: Day) -> EntryWords:
    """Its title, and what is done or expected; of setting and lesson also how sure the hatch is."""
    title, _ = words.DAYS[day.kind]
    lines = [words.text_of(day.kind)]
    if day.kind in ("set", "lesson") and plan.options:
        best = plan.options[0]
        likely, (early, late) = best.t50.p50, (best.t50.p10, best.t50.p90)
        if likely and early and late:
            ends = {"early": _full(early), "late": _full(late)}
            lines += [
                say("Half of what can hatch is out most likely {when}.", when=_full(likely)),
                say("Four times in five it is between {early} and {late}.", **ends),
            ]
        lines += words.lesson_lines(best)
    made, lesson = times.full_moment(plan.made_at), times.full_moment(plan.lesson.began)
    lines.append(say("Planned {when}, for a lesson on {lesson}.", when=made, lesson=lesson))
    return EntryWords(f"{plan.vessel}: {say(title)}", "\n".join(lines))


@in_its_language
def kept_entry(setting: Setting, one: KeptPlan, kind: str) -> EntryWords:
    """An entry of a plan that is kept: a kind of `words.DAYS`."""
    title, _ = words.DAYS[kind]
    lesson = times.full_moment(one.lesson.began)
    tin = [say("Cysts from {tin}.", tin=clean(one.tin))] if one.tin and kind == "set" else []
    water, against = kept.treated(one) if kind == "set" else [], kept.doubts(setting, one)
    for_it = say("For the lesson on {lesson}.", lesson=lesson)
    text = "\n".join([*water, words.text_of(kind), *tin, *against, for_it, *kept.aim(one)])
    return EntryWords(f"{clean(one.vessel)}: {say(title)}", text)


def _full(at: datetime) -> str:
    return times.full_moment(times.believed_moment(at))
