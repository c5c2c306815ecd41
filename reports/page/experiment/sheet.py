"""What can be chosen above the sheet of an experiment."""

from collections.abc import Sequence

from reports.language import say, spoken
from reports.page.paper.sheets import SheetChoice

FORM, LEVELS = "form", "levels"
SHEETS = (FORM, LEVELS)


def sheet_choice(language: str, chosen: str) -> SheetChoice:
    """The form for those who count, or the list for the one who fills the cups."""
    with spoken(language):
        names = ((FORM, say("Form for counting")), (LEVELS, say("List of levels")))
        return SheetChoice("sheet", say("Below the map"), chosen, names)


def experiment_choice(language: str, chosen: str, names: Sequence[tuple[str, str]]) -> SheetChoice:
    """Of which experiment the sheet is."""
    with spoken(language):
        return SheetChoice("experiment", say("Experiment"), chosen, tuple(names))
