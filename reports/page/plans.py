"""What can be planned and looked back on, before and after the cups."""

from reports.language import in_its_language, say, to_say
from reports.records import Setting

# Most wanted first; the end of a class last.
_PLANS = (
    (
        *("/plan/start", to_say("When to set")),
        to_say("So that cysts hatch in a lesson: the best times, how sure they are, and the days around."),
    ),
    (
        *("/plan/dose", to_say("Dose card")),
        to_say("Salt, baking soda and cysts for any cups, how it is done, and what to buy."),
    ),
    (
        *("/plan/tin", to_say("Test a tin")),
        to_say("From a few cysts counted: whether a class can be built on it."),
    ),
    (
        *("/plan/tins", to_say("Tins of cysts")),
        to_say("What each tin has given, what is left of it, and whether it falls off."),
    ),
    (
        *("/plan/cone", to_say("Hatch in a cone")),
        to_say("When to draw a cone off, how many hatch, and nauplii every day."),
    ),
    (
        *("/plan/experiment", to_say("Experiments")),
        to_say("Find out with cups what makes a difference: from an idea to a true sentence."),
    ),
    (
        *("/plan/wrap-up", to_say("End of a class")),
        to_say("Silence, a report of the batch, what is left over, class data, the next class."),
    ),
)


@in_its_language
def title(_setting: Setting) -> str:
    """Of the list."""
    return say("Plans")


@in_its_language
def plans(_setting: Setting) -> list[tuple[str, str, str]]:
    """Each one's address, its name, and what it is for."""
    return [(path, say(name), say(what)) for path, name, what in _PLANS]
