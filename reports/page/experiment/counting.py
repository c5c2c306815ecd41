"""An experiment that runs: how far the counting is, the form for a count, what stands."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from reports.amounts import in_decimals
from reports.experiment.lost import WHY
from reports.language import say, say_many, spoken
from reports.page.field import Field
from reports.words import begun, joined

# Beside `hours` among the faults: why they cannot be taken.
NO_HOURS, WITH_HOURS = "no-hours", "with-hours"
HOURS = (NO_HOURS, WITH_HOURS)


@dataclass(frozen=True, slots=True)
class CountShown:
    """A count that stands, of the cup of that code; `hours` is empty where they were not said."""

    code: str
    hatched: int
    cysts: int
    hours: str = ""


def fields(
    language: str,
    codes: Sequence[str],
    values: Mapping[str, str],
    faults: Sequence[str],
    *,
    cysts: int,
    with_hours: bool,
    changing: bool,
) -> list[Field]:
    """The form for a count of one of these cups; `faults` names those that cannot be taken. Where a count is
    changed, its hours stay as they are."""
    with spoken(language):
        cups = tuple((code, code) for code in codes)
        most = values.get("of", "") or str(cysts)

        def one(name: str, label: str, hint: str = "", **more: object) -> Field:
            why = next((why for why in HOURS if why in faults), name) if name == "hours" else name
            said = fault(why, most) if name in faults else ""
            return Field(name, label, hint, values.get(name, ""), said, 6, **more)  # type: ignore[arg-type]

        aside = say("Only where it is not {cysts}.", cysts=cysts)
        hours = say("For all counts or for none: they show who is late and who is poor.")
        hours_aside = not with_hours and "hours" not in faults
        asked = [
            one("cup", say("Cup"), options=cups),
            one("hatched", say("How many have hatched?"), type="number"),
            one("of", say("Of how many cysts?"), aside, type="number", aside="of" not in faults),
            one("hours", say("Hours since it was set"), hours, aside=hours_aside),
        ]
        return asked[:-1] if changing else asked


def fault(name: str, most: str) -> str:
    """What a field may hold, in the language spoken now."""
    match name:
        case "cup":
            return say("Choose a cup of the list.")
        case "hatched":
            return say("A whole number from 0 to {most}.", most=most)
        case "of":
            return say("A whole number from 1 to 10,000.")
        case "no-hours":
            return say("The counts that stand have no hours: leave this empty.")
        case "with-hours":
            return say("The counts that stand have hours: give them here, too, above 0 and up to 720.")
        case _:
            return say("Hours above 0 and up to 720.")


def progress(language: str, counted: int, cups: int, hours: str, lost: Sequence[str] = ()) -> str:
    """How far it is with so many `cups`, `lost` ones left out; `hours` after they were set, empty where that
    is not said."""
    with spoken(language):
        if lost and counted >= cups:
            done = say_many(
                "The {count} cup that is left is counted.",
                "The {count} cups that are left are counted.",
                cups,
            )
        elif counted >= cups:
            done = say("All {cups} cups are counted.", cups=cups)
        else:
            done = say("{counted} of {cups} cups counted.", counted=counted, cups=cups)
        return say("At hour {hours}: {done}", hours=in_decimals(hours), done=begun(done)) if hours else done


def lost_line(language: str, codes: Sequence[str]) -> str:
    """Which cups are lost; empty where none is."""
    with spoken(language):
        if not codes:
            return ""
        return say_many(
            "{count} cup is lost: {codes}.",
            "{count} cups are lost: {codes}.",
            len(codes),
            codes=joined(codes),
        )


def lost_field(language: str, codes: Sequence[str]) -> Field:
    """Which cup is lost, of these."""
    with spoken(language):
        return Field("lost", say("Which cup is lost?"), options=tuple((code, code) for code in codes))


def why_field(language: str) -> Field:
    """Why a cup is lost."""
    with spoken(language):
        options = (("", say("not known")), *((key, say(word)) for key, word in WHY.items()))
        return Field("why", say("Why?"), options=options)


def lost_noted(language: str, code: str) -> str:
    """What is said once a cup is kept as lost."""
    with spoken(language):
        return say("Noted: {code} is lost. It is counted no more.", code=code)


def not_lost(language: str, code: str) -> str:
    """What is said once that was taken back."""
    with spoken(language):
        return say("{code} is not lost.", code=code)


def count_line(language: str, one: CountShown) -> str:
    """A count, as it stands in a list."""
    with spoken(language):
        said = say("{code}: {hatched} of {cysts}", code=one.code, hatched=one.hatched, cysts=one.cysts)
        if not one.hours:
            return said
        return say("{count}, after {hours} h", count=said, hours=in_decimals(one.hours))


def noted(language: str, line: str) -> str:
    """What is said once a count is kept."""
    with spoken(language):
        return say("Noted. {count}.", count=line)


def taken_back(language: str, code: str) -> str:
    """What is said once a count was taken back."""
    with spoken(language):
        return say("The count of {code} is taken back.", code=code)


def stands(language: str, line: str) -> str:
    """Another count of the same cup came."""
    with spoken(language):
        return say(
            "There is a count of this cup already: {count}. Change that one, or choose another cup.",
            count=line,
        )


def held(language: str) -> str:
    """A count that came before the PIN was given."""
    with spoken(language):
        return say("Nothing was noted yet: this is what you filled in. Look at it, then send it.")


def see_below(language: str) -> str:
    """Above a form that cannot be taken."""
    with spoken(language):
        return say("Nothing was noted yet: see below.")


def hours_wanted() -> str:
    """What else would help to tell late from poor, in the language spoken now."""
    return say(
        "A cold or salty cup is late before it is poor. Next time give hours with each count: then it shows "
        "which."
    )


def too_early(language: str) -> str:
    """Why no result stands there yet."""
    with spoken(language):
        return say(
            "What it shows stands here when all cups are counted: who counts should not know it before."
        )
