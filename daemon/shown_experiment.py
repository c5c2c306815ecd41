"""An experiment of the store as words, pages and sheets take it."""

from collections.abc import Collection

from daemon.planning.experiment.level import needs_places
from daemon.store.experiments import Experiment
from reports.experiment.design import Planned
from reports.experiment.seats import SeatShown


def planned_of(one: Experiment, language: str) -> Planned:
    """Its design, to be said in a language."""
    design = one.design
    return Planned(
        *(language, design.idea, design.factor, design.levels, design.cups, design.cysts, design.near),
        in_places=needs_places(design.factor, design.levels),
    )


def seats_of(one: Experiment, lost: Collection[str] = ()) -> list[SeatShown]:
    """Its seats; cups of the `lost` codes are marked so."""
    return [
        SeatShown(seat.block, seat.place, seat.code, seat.level, lost=seat.code in lost) for seat in one.seats
    ]
