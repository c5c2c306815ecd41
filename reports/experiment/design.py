"""An experiment in words, before it is set: what is changed, what stays alike, what to mind, what speaks
against it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from reports.amounts import number
from reports.experiment.figures import RARE
from reports.language import in_its_language, say, say_many, to_say
from reports.letters.sentences import HYGIENE
from reports.words import clean, joined

FACTORS: Mapping[str, str] = {
    "salt": to_say("salt"),
    "warmth": to_say("warmth"),
    "light": to_say("light"),
    "soda": to_say("baking soda"),
    "cysts": to_say("how many cysts"),
    "tin": to_say("tin of cysts"),
}
# What makes a hatch late before it makes it poor.
LATE = ("warmth", "salt")
NEAR: Mapping[str, str] = {
    "window": to_say("the window"),
    "lamp": to_say("the lamp"),
    "heater": to_say("the heater"),
    "door": to_say("the door"),
}
# What stays alike, by the factor that it would be if it did not.
_ALIKE: Sequence[tuple[str, str]] = (
    ("", to_say("the cups, and how high the water stands in them")),
    ("salt", to_say("salt, and the brine from one jug")),
    ("soda", to_say("baking soda")),
    ("tin", to_say("cysts from one tin, well mixed")),
    ("cysts", to_say("how many cysts, counted or weighed")),
    ("light", to_say("light: one shelf, no cup in another's shadow")),
    ("warmth", to_say("warmth: one room, one shelf")),
    ("set", to_say("when they are set: all within an hour")),
    ("", to_say("who counts, how, and when")),
)
# The same where levels are those of places.
_IN_PLACES: Mapping[str, str] = {
    "set": to_say("when they are set: all cups of a row within an hour"),
    "light": to_say("light: no bath in another's shadow"),
}
CUPS_FOR_THE_MODEL = 5  # from so many a level on there is an F test, no rank test
_MOST_TIMES = 10_000  # nobody is surer than that of a shelf
_OF_SEVERAL: Mapping[str, str] = {"outside": "outside-several"}
_DOUBTS: Mapping[str, str] = {
    "places": to_say(
        "Warmth belongs to a place. Cups of one level in one warm place count as one cup, however many they "
        "are: nobody can tell warmth from all else there. Give each cup a water bath or a small heated box "
        "of its own. Or take a bath for each level, and set one row after the other. Then the baths change "
        "their warmth as the map shows. Easier: change what can stand side by side, such as salt, or light "
        "by a cover."
    ),
    "one-cup": to_say("One cup a level shows nothing: cups that are treated alike differ, too."),
    "few-cups": to_say(
        "Two cups a level hardly show how cups differ by themselves. Take {enough} of each or more."
    ),
    "two-things": to_say(
        "It looks as if more than one thing is changed: {levels}. Then nobody knows which one it was. Change "
        "one, and let the rest be alike."
    ),
    "no-numbers": to_say(
        "How much is that: {levels}? Write numbers, such as 25 g/L. Then others can do it again, and a "
        "level that animals do not live through stands out."
    ),
    "outside": to_say(
        "{levels}: hardly any animals are known to live there. Leave it out, or take a level nearer to the "
        "others."
    ),
    "outside-several": to_say(
        "{levels}: hardly any animals are known to live there. Leave them out, or take levels nearer to the "
        "others."
    ),
    "few-cysts": to_say("That is few cysts a cup: one more or less already looks like a difference."),
}


@dataclass(frozen=True, slots=True)
class Planned:
    """An experiment as somebody planned it, to be said in `language`; its keys are those of `FACTORS` and
    `NEAR`, and a factor may be any other words. `in_places`: its levels are those of places, such as water
    baths, and cannot stand side by side."""

    language: str
    idea: str
    factor: str
    levels: tuple[str, ...]
    cups: int
    cysts: int
    near: str
    in_places: bool = False


def factor_name(factor: str) -> str:
    """What is changed, in the language spoken now."""
    return say(FACTORS[factor]) if factor in FACTORS else clean(factor)


@in_its_language
def title(planned: Planned, number: int) -> str:
    """What an experiment is called."""
    return say("Experiment {number}: {factor}", number=number, factor=factor_name(planned.factor))


@in_its_language
def summary(planned: Planned) -> list[str]:
    """What is changed and how much there is of it."""
    cups, levels = planned.cups * len(planned.levels), joined([clean(one) for one in planned.levels])
    each = say_many("{count} cup of each", "{count} cups of each", planned.cups)
    return [
        say("Changed is {factor}: {levels}.", factor=factor_name(planned.factor), levels=levels),
        say(
            "{each}, {cups} cups in all, with {cysts} cysts in each cup.",
            each=each,
            cups=cups,
            cysts=planned.cysts,
        ),
    ]


@in_its_language
def doubt_lines(planned: Planned, doubts: Sequence[tuple[str, Sequence[str]]], enough: int) -> list[str]:
    """What speaks against it: each kind with the levels that it is about, all of them where it names none.
    With `enough` cups a level they could show a difference."""
    return [
        say(
            _DOUBTS[kind if len(about) < 2 else _OF_SEVERAL.get(kind, kind)],
            levels=joined([clean(one) for one in about or planned.levels]),
            enough=number(enough),
        )
        for kind, about in doubts
    ]


@in_its_language
def could_tell(planned: Planned, smallest_p: float | None, enough: int) -> list[str]:
    """What the cups could show at best: `smallest_p` is the smallest p they can reach; None where there is
    none at all. With `enough` cups a level they could show a difference."""
    if smallest_p is None:
        none = say("With one cup of each nothing can be shown, whatever is counted.")
    else:
        none = say("These cups cannot show a difference, however large: chance alone could make it.")
    if smallest_p is None or smallest_p > RARE:
        return [none, say("Take {count} cups of each at least.", count=enough)]
    could = say("These cups can show a difference, if there is a large one.")
    if planned.cups >= CUPS_FOR_THE_MODEL:  # the F test's smallest p is a bound that it never reaches
        return [could, *holds_where(planned)]
    times = number(min(1 / max(smallest_p, 1e-9), _MOST_TIMES))
    return [
        could,
        say(
            "The clearest result there can be comes about by chance at most once in {times} times.",
            times=times,
        ),
        *holds_where(planned),
    ]


@in_its_language
def holds_where(planned: Planned) -> list[str]:
    """On what it rests that each cup counts; nothing where cups of all levels stand side by side."""
    if not planned.in_places:
        return []
    return [say("That holds only where each cup had a place of its own, or each row was a round of its own.")]


@in_its_language
def alike(planned: Planned) -> list[str]:
    """What must not differ from cup to cup."""
    return [
        say(_IN_PLACES.get(factor, what) if planned.in_places else what)
        for factor, what in _ALIKE
        if not factor or factor != planned.factor
    ]


@in_its_language
def alike_text(planned: Planned) -> str:
    """The same as plain text."""
    return "\n".join([say("What stays alike in all cups"), "", *(f"- {one}" for one in alike(planned))])


@in_its_language
def near_line(planned: Planned) -> str:
    """How the seat map lies."""
    if planned.in_places:
        return say(
            "Each seat is a water bath or a box of its own, as warm as its cup's level. With one bath a "
            "level each row is a round: baths stay where they are and change their warmth from row to row."
        )
    return say("Row 1 stands nearest to {place}.", place=say(NEAR[planned.near]))


@in_its_language
def steps(planned: Planned) -> list[str]:
    """How it is done, in order."""
    return [
        say("Write each code on a cup."),
        say("One person fills the cups by the list of levels, and shows that list to nobody."),
        _how_to_stand(planned),
        say("Those who count see codes only. Nobody counts more carefully because of a hope."),
        _when_to_count(planned.factor),
    ]


@in_its_language
def steps_text(planned: Planned) -> str:
    """The same as plain text."""
    lines = [f"{place}. {one}" for place, one in enumerate(steps(planned), start=1)]
    return "\n".join([say("How it goes"), "", *lines])


def _how_to_stand(planned: Planned) -> str:
    if planned.in_places:
        return say(
            "Stand each cup in its bath as the map shows. Cups of one level that share a bath count as one."
        )
    return say("Stand the cups as the map shows, and leave them so: no cup is moved for a better place.")


def _when_to_count(factor: str) -> str:
    if factor in LATE:
        return say(
            "Cold and salt make a hatch late. Count each cup when its own hatch is over, or all on two days."
        )
    return say("Count all cups at one time, when the hatch is over: two days after it began, say.")


@in_its_language
def care(_planned: Planned) -> list[str]:
    """The cautions, of animals first."""
    return [
        say("Change only what animals live through: no bleach, soap, alcohol or medicine."),
        say(HYGIENE),
    ]
