"""Why the page believes what it says of a vessel: from what each number was calculated, and who taught it."""

from collections.abc import Sequence

from reports import words
from reports.explanation import Ground, explained
from reports.language import in_its_language, say, spoken
from reports.records import Setting


def title(language: str, vessel: str, count: int) -> str:
    """The view's."""
    with spoken(language):
        return say("Why we believe it: {name}", name=words.vessel_name(vessel, count))


@in_its_language
def grounds(setting: Setting, found: Sequence[Ground]) -> list[tuple[str, tuple[str, ...]]]:
    """Each model's name, and what its numbers rest on; one part that says so where nothing is calculated."""
    return explained(setting, found) or [(say("No batch is running, so nothing is calculated."), ())]
