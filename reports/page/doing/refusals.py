"""Why something was not noted, in a line; the words of a check stand as the check has them."""

from reports.language import in_its_language, say, to_say
from reports.records import Setting

_LINES = {
    "down": to_say("The watch is not running, so nothing was noted. Start it, then send this again."),
    "silent": to_say(
        "The watch gave no answer, so it may be noted or not. Send it again: it is never noted twice."
    ),
    "busy": to_say("The watch is busy or just ending. Nothing was noted: send it again in a moment."),
    "played": to_say("This is no station at work: its records end here, and nothing can be noted."),
    "old": to_say("This form is too old. Nothing was noted: look at it once more, then send it again."),
    "held": to_say("Nothing was noted yet: this is what you filled in. Look at it, then send it."),
    "unknown": to_say("The page has no such choice. Nothing was noted."),
    "fields": to_say("Nothing was noted yet: see below."),
    "gone": to_say("This entry was taken back before. Nothing was changed."),
    "again": to_say(
        "This form was noted before, as you see it here. What was sent now was not noted: choose “Change it”."
    ),
}


@in_its_language
def refusal(_setting: Setting, why: str) -> str:
    """The line of a reason: one of `down`, `silent`, `busy`, `played`, `old`, `held`, `unknown`, `fields`,
    `gone` and `again`."""
    return say(_LINES[why])


@in_its_language
def semicolon(_setting: Setting) -> str:
    """A word that the care log cannot keep."""
    return say("No semicolon, please: the care log uses it between two details.")


@in_its_language
def temperature_range(setting: Setting, found: str, ends: tuple[float, float]) -> str:
    """A temperature outside of what is taken; `ends` in the station's unit."""
    return say(
        "Found {found}; allowed: {low} to {high} °{unit}.",
        found=found,
        low=f"{ends[0]:g}",
        high=f"{ends[1]:g}",
        unit=setting.unit,
    )
