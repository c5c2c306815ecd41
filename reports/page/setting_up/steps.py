"""The steps of the set-up, in order, and what is said of each."""

from collections.abc import Mapping
from dataclasses import dataclass

from reports.language import say, say_many, spoken, to_say
from reports.times import SHORT_WEEKDAYS

# Key, and name; the address is /set-up/KEY.
STEPS = (
    ("room", to_say("The room")),
    ("probes", to_say("The probes")),
    ("vessels", to_say("The cups")),
    ("letters", to_say("The letters")),
    ("page", to_say("This page")),
    ("keep", to_say("Look over and keep")),
)
KEYS = tuple(key for key, _ in STEPS)


@dataclass(frozen=True, slots=True)
class StepLine:
    """A step as it is listed: `state` says how far it is, in words."""

    key: str
    name: str
    state: str


def after(key: str) -> str:
    """The step that follows."""
    return KEYS[min(KEYS.index(key) + 1, len(KEYS) - 1)]


def step_lines(language: str, wrong: Mapping[str, int], begun: frozenset[str]) -> list[StepLine]:
    """The steps: `wrong` counts what is wrong in each, `begun` are those with something in them."""
    with spoken(language):
        return [StepLine(key, say(name), _state(key, wrong.get(key, 0), key in begun)) for key, name in STEPS]


def _state(key: str, wrong: int, begun: bool) -> str:
    if key == "keep":
        return ""
    if not begun:
        return say("as usual") if key in ("letters", "page") else say("to do")
    return say_many("{count} thing to mend", "{count} things to mend", wrong) if wrong else say("done")


def title(language: str, key: str = "") -> str:
    """Above a step; above the list of them without a key."""
    with spoken(language):
        return say(dict(STEPS)[key]) if key else say("Set up this station")


def weekdays(language: str) -> list[str]:
    """Short names of weekdays, Monday first."""
    with spoken(language):
        return [say(day) for day in SHORT_WEEKDAYS]
