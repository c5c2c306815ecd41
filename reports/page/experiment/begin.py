"""What is asked of an experiment before it begins, and what its cups could tell."""

from collections.abc import Mapping, Sequence

from reports.experiment.design import FACTORS, NEAR
from reports.language import say, spoken
from reports.page.field import Field
from reports.words import clean

OTHER = "other"
# Beside `levels` among the faulty: what is wrong with it is a comma.
COMMA = "comma"
# The fields, in the order in which a person thinks; `other` is asked where no listed factor fits.
NAMES = ("idea", "factor", "other", "levels", "cups", "of", "near")
USUAL: Mapping[str, str] = {"factor": "salt", "cups": "4", "of": "50", "near": "window"}


def title(language: str) -> str:
    """Of the view."""
    with spoken(language):
        return say("Experiments")


def fields(
    language: str, values: Mapping[str, str], faulty: Sequence[str], twins: tuple[str, str] | None = None
) -> list[Field]:
    """The form's fields, filled in; `faulty` names those that cannot be taken, `twins` two levels that are
    one."""
    with spoken(language):
        return [_field(name, values.get(name, ""), faulty, twins) for name in NAMES]


def _field(name: str, value: str, faulty: Sequence[str], twins: tuple[str, str] | None) -> Field:
    label, hint, longest = _words(name)
    kind = "number" if name in ("cups", "of") else "text"
    fault = _fault(name) if name in faulty else ""
    if name == "levels" and COMMA in faulty:
        fault = say("A comma between two digits: write semicolons between levels, such as 10; 22.5; 40.")
    elif fault and name == "levels" and twins:
        fault = _same(*twins)
    return Field(name, label, hint, value, fault, longest, _options(name), type=kind)


def _same(one: str, other: str) -> str:
    if one == other:
        return say("{level} stands there twice: give each level once.", level=clean(one))
    return say("{one} and {other} are the same: give each level once.", one=clean(one), other=clean(other))


def _words(name: str) -> tuple[str, str, int]:
    match name:
        case "idea":
            return say("What do you want to know?"), say("In your own words. No names of people."), 200
        case "factor":
            return say("What is changed? One thing only"), "", 40
        case "other":
            return say("If something else: what?"), "", 40
        case "levels":
            hint = say("Two to six, separated by semicolons, such as 10; 25; 40.")
            return say("Its levels"), hint, 200
        case "cups":
            hint = say(
                "Four or more at two levels, three or more at three to six: cups that are alike differ."
            )
            return say("How many cups of each?"), hint, 3
        case "of":
            return say("How many cysts in each cup?"), say("As many as you can count: 50, say."), 5
        case _:
            return say("The shelf's first row stands nearest to"), "", 10


def _options(name: str) -> tuple[tuple[str, str], ...]:
    if name == "factor":
        return (*((key, say(word)) for key, word in FACTORS.items()), (OTHER, say("something else")))
    return tuple((key, say(word)) for key, word in NEAR.items()) if name == "near" else ()


def _fault(name: str) -> str:
    match name:
        case "idea":
            return say("One line of up to 200 characters.")
        case "factor" | "other":
            return say("Say in up to 40 characters what is changed.")
        case "levels":
            return say(
                "Give two to six levels, each once and in up to 30 characters, beginning with a letter or a "
                "digit."
            )
        case "cups":
            return say("A whole number from 1 to 20.")
        case "of":
            return say("A whole number from 1 to 10,000.")
        case _:
            return say("Choose one of the list.")


def name_lines(language: str, labels: Sequence[str]) -> list[str]:
    """Words that look like a person's name, a line each."""
    with spoken(language):
        return [
            say("“{label}” looks like a person's name. If it is one, write something else.", label=clean(one))
            for one in labels
        ]


def wrong(language: str, why: str) -> str:
    """What is said above the form: `look`, `held` or `names`."""
    with spoken(language):
        match why:
            case "names":
                return say(
                    "Nothing was begun yet: tick that these are no names of people, or write other words."
                )
            case "held":
                return say("Nothing was begun yet: this is what you filled in. Look at it, then begin.")
        return say("Nothing was begun yet: see below.")
