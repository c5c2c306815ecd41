"""What is asked for a cone's card, on the page."""

from reports.language import in_its_language, say, to_say
from reports.page.field import Field
from reports.planning.form import AskedPlan, chosen_field, tin_fields, typed_field
from reports.planning.rests_on import STRAINS
from reports.records import Setting

_OF_THE_TIN = to_say("as the tin's, or not known")


@in_its_language
def cone_title(_setting: Setting) -> str:
    """Of the view."""
    return say("Hatch in a cone")


@in_its_language
def cone_fields(setting: Setting, asked: AskedPlan) -> list[Field]:
    """The fields, those that few need aside."""
    return [
        typed_field(asked, "volume_ml", say("mL in the cone"), say("A litre is 1000 mL.")),
        typed_field(asked, "cysts_g", say("Eggs (cysts), in g")),
        typed_field(asked, "water_c", say("The water is held at, in °{unit}", unit=setting.unit)),
        typed_field(
            asked,
            "daily_at",
            say("A fresh harvest every day at"),
            say("Such as 08:30; leave it empty for a single hatch."),
        ),
        *tin_fields(asked),
        chosen_field(asked, "strain", say("The cysts are from"), (("", _OF_THE_TIN), *STRAINS.items())),
        typed_field(asked, "salt_g_per_l", say("Salt, in g a litre"), aside=True),
    ]
