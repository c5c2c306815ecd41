"""What is asked to reckon how many cups an experiment needs."""

from collections.abc import Mapping
from math import ceil

from reports.experiment.power import PowerSeen, noticed_words, power_words
from reports.language import say, say_many, spoken
from reports.page.field import Field
from reports.planning.form import AskedPlan, typed_field

NAMES = ("levels", "cups", "of", "share", "difference", "dispersion")


def title(language: str) -> str:
    """Of the view, and of the link to it."""
    with spoken(language):
        return say("How many cups would we need?")


def fields(language: str, values: Mapping[str, str], faults: Mapping[str, str]) -> list[Field]:
    """The form, filled in; `faults` has a line for each field that cannot be taken."""
    asked = AskedPlan(values, faults)
    with spoken(language):
        return [
            typed_field(asked, "levels", say("How many levels?"), say("Two for with and without.")),
            typed_field(asked, "cups", say("How many cups of each?")),
            typed_field(
                asked, "of", say("How many cysts in each cup?"), say("Only full ones, which can hatch.")
            ),
            typed_field(
                asked,
                "share",
                say("Of 100 cysts, how many hatch at the best level?"),
                say("From a test of the tin; 80 where you do not know."),
            ),
            typed_field(
                asked,
                "difference",
                say("How many fewer of 100 should be noticed?"),
                say("A smaller difference takes more cups."),
            ),
            typed_field(
                asked,
                "dispersion",
                say("How many times more than by chance do cups of a level differ?"),
                say("Nobody knows before some were counted: seeds on plates did 1.9 times."),
                aside=True,
            ),
        ]


def lines(language: str, found: PowerSeen, *, most_cups: int) -> list[str]:
    """What these cups would find."""
    with spoken(language):
        return power_words(found, most_cups=most_cups)


def noticed(language: str, share: float, difference: float | None) -> str:
    """What difference a plan's cups would show; see `noticed_words`."""
    with spoken(language):
        return noticed_words(share, difference)


def more_than_share(language: str, share: str) -> str:
    """For a difference that there cannot be."""
    with spoken(language):
        return say("Up to {share}: no more can be missing than hatch at the best level.", share=share)


def not_now(language: str, wait_s: float) -> str:
    """Why there are no figures this time."""
    with spoken(language):
        return say_many(
            "How large a difference is found was not worked out: this machine is busy with what was asked "
            "before. Load this again in {count} second.",
            "How large a difference is found was not worked out: this machine is busy with what was asked "
            "before. Load this again in {count} seconds.",
            max(1, ceil(wait_s)),
        )
