"""Labels for cups: a code that opens the vessel's page of deeds, its name, its mark, and room for a date."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import count

from reports import amounts, words
from reports.language import in_its_language, say, to_say
from reports.page.paper.creatures import creature
from reports.page.paper.sheets import SheetChoice
from reports.records import Setting

NUMBERS, CREATURES = "numbers", "creatures"
_NAMES: Mapping[str, str] = {NUMBERS: to_say("numbers"), CREATURES: to_say("creatures")}
# Labels side by side and one above the other. Common practice, no source: cut from plain paper.
GRIDS: Mapping[str, tuple[int, int]] = {"4x7": (4, 7), "3x9": (3, 9)}
# How many letters of a size there is room for; what is longer is tiny.
_SIZES = (("large", 3), ("medium", 12), ("small", 24))


@dataclass(frozen=True, slots=True)
class LabelPlan:
    """A vessel to make labels for; `address` is where what was done there is noted."""

    vessel: str
    count: int
    mark_ml: float
    address: str


@dataclass(frozen=True, slots=True)
class CupLabel:
    """One label: `plan` is the place of its code among the vessels', `tray` the vessel of a cup that has a
    name of its own, else empty. The sizes are of letters: "large", "medium", "small" or "tiny"."""

    plan: int
    name: str
    size: str
    tray: str
    tray_size: str
    fill: str
    alternative: str


@in_its_language
def labels(_setting: Setting, plans: Sequence[LabelPlan], names: str) -> list[CupLabel]:
    """One for each cup. Cups of a tray are numbered, or have a name that no other cup on the sheets has."""
    named = count()
    return [
        _label(place, plan, cup, names, named)
        for place, plan in enumerate(plans)
        for cup in range(plan.count)
    ]


def _label(place: int, plan: LabelPlan, cup: int, names: str, named: "count[int]") -> CupLabel:
    vessel = words.clean(plan.vessel)
    if plan.count == 1:
        name, tray = vessel, ""
    else:
        name, tray = creature(next(named)) if names == CREATURES else str(cup + 1), vessel
    return CupLabel(
        place,
        name,
        _size(name),
        tray,
        _size(tray),
        say("Fill with plain water to the mark ({amount}).", amount=amounts.volume(plan.mark_ml)),
        say("Code for {address}", address=plan.address),
    )


def _size(text: str) -> str:
    return next((size for size, most in _SIZES if len(text) <= most), "tiny")


def pages_of(made: Sequence[CupLabel], grid: str) -> list[Sequence[CupLabel]]:
    """The labels sheet by sheet."""
    across, down = GRIDS[grid]
    each = across * down
    return [made[first : first + each] for first in range(0, len(made), each)]


@in_its_language
def choices(_setting: Setting, names: str, grid: str) -> list[SheetChoice]:
    """How cups of a tray are called, and how many labels go on a sheet."""
    told = tuple(
        (key, say("{across} by {down} a sheet", across=across, down=down))
        for key, (across, down) in GRIDS.items()
    )
    return [
        SheetChoice(
            "names", say("Cups of a tray"), names, tuple((key, say(one)) for key, one in _NAMES.items())
        ),
        SheetChoice("grid", say("Labels"), grid, told),
    ]


@in_its_language
def notes(_setting: Setting, address: str, *, loopback: bool, told: bool) -> list[str]:
    """What to know before printing: where the codes lead, and whether a phone gets there.

    `loopback`: the page answers this machine alone, or is asked for by a name that means it; `told`: the
    station file gives the address.
    """
    found = [say("The codes lead to {address}. If it changes later, print them anew.", address=address)]
    if loopback and told:
        found.append(
            say(
                "The page answers its own machine only. A phone gets there only through another server that "
                "has this address."
            )
        )
    elif loopback:
        found.append(
            say(
                "A phone cannot reach this address: it means the machine itself. Set listen and address "
                "under [page] in the station file before you print."
            )
        )
    return [
        *found,
        say("Print on plain paper, in actual size, and cut along the lines. Clear tape keeps them dry."),
        say("Numbers or creatures name the cups: names of children stay off them."),
    ]
