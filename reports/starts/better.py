"""What would meet a lesson more often, in sentences: another hour, a known tin, warmth."""

from reports import amounts, times
from reports.language import say
from reports.starts import words
from reports.starts.records import PlannedStart

HELPS = 0.05  # a way to more is named where it gains so much [P]


def lines(plan: PlannedStart) -> list[str]:
    """All of them."""
    return [*other_ways(plan), *raise_lines(plan)]


def raise_lines(plan: PlannedStart) -> list[str]:
    """What would raise the chance, where it would."""
    best = max((one.share_in_lesson for one in plan.options), default=0.0)
    found = []
    known = None if plan.tin_learned else plan.if_known  # hatches of it were seen already
    if known is not None and known > best * 1.2 and known - best >= HELPS:
        found.append(
            say(
                "With a tin known from earlier hatches it would be {chance}: set a trial cup before.",
                chance=words.chance(known),
            )
        )
    if plan.if_warm is not None and plan.if_warm > best * 1.2 and plan.if_warm - best >= HELPS:
        warm = amounts.temperature(25.0, plan.unit, 0)
        found.append(
            say("In a place at a steady {warm}: {chance}.", warm=warm, chance=words.chance(plan.if_warm))
        )
    return found


def other_ways(plan: PlannedStart) -> list[str]:
    """What else there is where the lesson is hardly met."""
    found = []
    for one in plan.other_ways:
        said = {
            "when": times.on_moment(one.set_at, plan.made_at),
            "chance": words.chance(one.share_in_lesson),
            "seen": words.chance(one.under_way),
        }
        if one.out is not None:
            found.append(
                say(
                    "The first lesson in which animals can swim already, at the same hours: {lesson}. "
                    "For it set the cysts {when}; as it begins, {share} of what can hatch is out.",
                    lesson=words.title_of(plan, one.lesson),
                    when=said["when"],
                    share=amounts.percent_range(one.out),
                )
            )
        elif one.lesson == plan.lesson:
            found.append(
                say(
                    "If somebody can come and set the cysts {when}: {chance}; hatching is under way: {seen}.",
                    **said,
                )
            )
        else:
            lesson = words.title_of(plan, one.lesson)
            line = say(
                "For a lesson on {lesson}, set {when}: {chance}; hatching is under way: {seen}.",
                lesson=lesson,
                **said,
            )
            found.append(line)
    if (swim := plan.swimmers) is not None:
        found.append(
            say(
                "So that animals swim already: set the cysts {when}. As the lesson begins, {share} of what "
                "can hatch is out, half of it {length} earlier. Fill the water up before you leave.",
                when=times.on_moment(swim.set_at, plan.made_at),
                share=amounts.percent_range(swim.hatched),
                length=times.short_length(plan.lesson.began - swim.half_at),
            )
        )
    return found
