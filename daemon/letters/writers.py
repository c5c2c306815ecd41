"""How a letter comes from what stands: look at each vessel, and write of those where there is something."""

from collections.abc import Callable, Iterable, Sequence
from typing import TypeVar

from daemon.station import Vessel
from reports.records import LetterText, Setting

# Writes of some vessels at a moment (Unix s), or gives None where there is nothing left to say.
Writer = Callable[[Setting, Sequence[Vessel], int], LetterText | None]
_Record = TypeVar("_Record")


def of_each(
    look: Callable[[Vessel, int], _Record | None], write: Callable[[Setting, Sequence[_Record]], LetterText]
) -> Writer:
    """One letter about all the vessels at which `look` finds something."""

    def written(place: Setting, vessels: Sequence[Vessel], at: int) -> LetterText | None:
        records = found(look(vessel, at) for vessel in vessels)
        return write(place, records) if records else None

    return written


def first_of(*writers: Writer) -> Writer:
    """The first of these letters that has something to say."""

    def written(place: Setting, vessels: Sequence[Vessel], at: int) -> LetterText | None:
        letters = (write(place, vessels, at) for write in writers)
        return next((letter for letter in letters if letter is not None), None)

    return written


def found(records: Iterable[_Record | None]) -> list[_Record]:
    """Those that are there."""
    return [one for one in records if one is not None]
