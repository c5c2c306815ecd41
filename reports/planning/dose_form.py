"""What is asked for a dose card, on the page."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from reports.language import in_its_language, say, to_say
from reports.page.field import Field
from reports.records import Setting

MEANS = (
    ("in", to_say("stirred in a litre of water")),
    ("to", to_say("made up to a litre of brine")),
)
WAYS = (
    ("g-per-l", to_say("grams a litre")),
    ("g", to_say("grams in each")),
    ("pinches", to_say("pinches in each")),
    ("counted", to_say("counted cysts in each")),
    ("animals", to_say("animals wanted in each")),
    ("none", to_say("no cysts")),
)


@dataclass(frozen=True, slots=True)
class AskedDose:
    """What is filled in, by the field's name, and what is wrong with it."""

    values: Mapping[str, str]
    faults: Mapping[str, str] = field(default_factory=dict)


@in_its_language
def dose_fields(_setting: Setting, asked: AskedDose) -> list[Field]:
    """The fields, those that few need aside."""
    return [
        _number(asked, "vessels", say("How many vessels")),
        _number(
            asked, "volume_ml", say("mL in each"), say("To its mark: of water, or of brine if made up to.")
        ),
        _number(asked, "salt_g_per_l", say("Salt, in g a litre")),
        _choice(asked, "salt_means", say("The salt is"), MEANS),
        _number(
            asked, "soda_g_per_l", say("Baking soda, in g a litre"), say("Up to 1 g is advised; 0 for none.")
        ),
        _choice(asked, "way", say("Eggs (cysts), as"), WAYS),
        _number(asked, "amount", say("How many of these")),
        _number(
            asked,
            "share",
            say("Of 100 cysts of your tin, so many hatched"),
            say("From a test; leave it empty where there was none."),
            aside=True,
        ),
        _number(
            asked,
            "cysts_per_g",
            say("Cysts in a gram"),
            say("As the tin says; leave it empty where it does not."),
            aside=True,
        ),
        _number(
            asked,
            "hydrometer",
            say("Printed on your hydrometer"),
            say("Two temperatures, such as 25/20; or g/mL 20, or ppt 25."),
            aside=True,
        ),
        _number(asked, "water_c", say("Warmth of the brine when you check it, in °C"), aside=True),
    ]


@in_its_language
def dose_title(_setting: Setting) -> str:
    """Of the view."""
    return say("Dose card")


@in_its_language
def to_the_sheet(_setting: Setting) -> str:
    """Where it leads to the sheet of the usual recipe."""
    return say("A sheet of the usual recipe for all vessels of the station")


@in_its_language
def no_scale(_setting: Setting) -> str:
    """For what no hydrometer has printed on it."""
    return say("Two temperatures from 5 to 35 °C, such as 25/20; or g/mL 20, or ppt 25.")


def _number(asked: AskedDose, name: str, label: str, hint: str = "", *, aside: bool = False) -> Field:
    fault = asked.faults.get(name, "")
    return Field(name, label, hint, asked.values.get(name, ""), fault, longest=20, aside=aside and not fault)


def _choice(asked: AskedDose, name: str, label: str, options: tuple[tuple[str, str], ...]) -> Field:
    told = tuple((value, say(words)) for value, words in options)
    return Field(name, label, "", asked.values.get(name, ""), asked.faults.get(name, ""), options=told)
