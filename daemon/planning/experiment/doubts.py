"""What speaks against a design, while it still costs nothing to change it."""

from dataclasses import dataclass, replace

from daemon.planning.experiment.chosen_test import judged
from daemon.planning.experiment.design import MOST_CUPS, ExperimentDesign
from daemon.planning.experiment.level import names_two_things, needs_places, outside, without_amount
from daemon.planning.experiment.power import RARE

# Fewer than three cups a level hardly say of how cups of one level differ: common practice, no source.
FEW_CUPS = 3
# Of fewer cysts one more or less is over five in a hundred [C].
FEW_CYSTS = 20


@dataclass(frozen=True, slots=True)
class Doubt:
    """One kind of doubt, and the levels that it is about."""

    kind: str
    levels: tuple[str, ...] = ()


KINDS = ("places", "one-cup", "few-cups", "two-things", "no-numbers", "outside", "few-cysts")


def doubts(design: ExperimentDesign) -> list[Doubt]:
    """In the order in which they matter; none where nothing speaks against it."""
    unsafe = tuple(outside(design.factor, design.levels))
    two = names_two_things(design.levels)
    unsaid = () if two else tuple(without_amount(design.factor, design.levels))
    found = [
        (needs_places(design.factor, design.levels), Doubt("places")),
        (design.cups == 1, Doubt("one-cup")),
        (1 < design.cups < FEW_CUPS, Doubt("few-cups")),
        (two, Doubt("two-things")),
        (bool(unsaid), Doubt("no-numbers", unsaid)),
        (bool(unsafe), Doubt("outside", unsafe)),
        (design.cysts < FEW_CYSTS, Doubt("few-cysts")),
    ]
    return [doubt for holds, doubt in found if holds]


def smallest_p(design: ExperimentDesign) -> float | None:
    """The smallest p that its cups could give, however far apart levels lie; None where no test fits."""
    return judged([[(0, design.cysts)] * design.cups for _ in design.levels]).smallest_p


def enough_cups(design: ExperimentDesign) -> int:
    """The fewest cups a level that could show a difference at all; three at least."""
    return next(cups for cups in range(FEW_CUPS, MOST_CUPS + 1) if _could_show(replace(design, cups=cups)))


def _could_show(design: ExperimentDesign) -> bool:
    smallest = smallest_p(design)
    return smallest is not None and smallest <= RARE
