"""What is asked to reckon how many animals there are, from some spoonfuls."""

from collections.abc import Mapping

from reports.experiment.aliquots import IntervalSeen, aliquot_words
from reports.language import say, spoken
from reports.page.field import Field
from reports.planning.form import AskedPlan, typed_field

LONGEST = 200


def title(language: str) -> str:
    """Of the view, and of the link to it."""
    with spoken(language):
        return say("Count animals by spoonfuls")


def how(language: str) -> list[str]:
    """How spoonfuls are taken, and what is lost by doing it."""
    with spoken(language):
        return [
            say(
                "Stir, take a spoonful, count it over a dark plate, and pour it back. Do so three times "
                "or more."
            ),
            say("Keep animals out of pond, river, sea and drain."),
        ]


def fields(language: str, values: Mapping[str, str], faults: Mapping[str, str]) -> list[Field]:
    """The form, filled in; `faults` has a line for each field that cannot be taken."""
    asked = AskedPlan(values, faults)
    with spoken(language):
        label, hint = say("Animals in each spoonful"), say("A blank between: 12 15 9.")
        counted = Field(
            "counts", label, hint, values.get("counts", ""), faults.get("counts", ""), longest=LONGEST
        )
        return [
            counted,
            typed_field(asked, "ml", say("How much does a spoonful hold, in mL?"), say("A teaspoon has 5.")),
            typed_field(
                asked,
                "volume_ml",
                say("How much does the whole vessel hold, in mL?"),
                say("Leave it empty to hear of one mL alone."),
            ),
        ]


def lines(language: str, per_ml: IntervalSeen, in_all: IntervalSeen | None) -> list[str]:
    """How many there are."""
    with spoken(language):
        return aliquot_words(per_ml, in_all)


def no_counts(language: str, most: int) -> str:
    """For what is no list of counts."""
    with spoken(language):
        return say("Whole numbers with a blank between, such as 12 15 9; up to {most} of them.", most=most)


def too_little(language: str, ml: str) -> str:
    """For a vessel that holds less than was counted."""
    with spoken(language):
        return say("At least {ml} mL, which is what was counted.", ml=ml)
