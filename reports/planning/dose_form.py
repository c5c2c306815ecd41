"""What is asked for a dose card, on the page."""

from reports.language import in_its_language, say, to_say
from reports.page.field import Field
from reports.planning.form import AskedPlan, chosen_field, tin_fields, typed_field
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


@in_its_language
def dose_fields(setting: Setting, asked: AskedPlan) -> list[Field]:
    """The fields, those that few need aside."""
    return [
        typed_field(asked, "vessels", say("How many vessels")),
        typed_field(
            asked, "volume_ml", say("mL in each"), say("To its mark: of water, or of brine if made up to.")
        ),
        typed_field(asked, "salt_g_per_l", say("Salt, in g a litre")),
        chosen_field(asked, "salt_means", say("The salt is"), MEANS),
        typed_field(
            asked, "soda_g_per_l", say("Baking soda, in g a litre"), say("Up to 1 g is advised; 0 for none.")
        ),
        chosen_field(asked, "way", say("Eggs (cysts), as"), WAYS),
        typed_field(asked, "amount", say("How many of these")),
        *tin_fields(asked),
        typed_field(
            asked,
            "hydrometer",
            say("Printed on your hydrometer"),
            say("Two temperatures, such as 25/20 or 60/60 °F; or g/mL 20, or ppt 25."),
            aside=True,
        ),
        typed_field(
            asked,
            "water_c",
            say("Warmth of the brine when you check it, in °{unit}", unit=setting.unit),
            aside=True,
        ),
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
    return say("Two temperatures from 5 to 35 °C, such as 25/20 or 60/60 °F; or g/mL 20, or ppt 25.")
