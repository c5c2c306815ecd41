"""The seat map and the form for counting, as plain text and as what a page is made from."""

from collections.abc import Sequence
from dataclasses import dataclass

from reports.experiment.design import Planned, near_line
from reports.language import in_its_language, say
from reports.letters.text_table import set_out
from reports.words import clean, joined

_WIDTH = 76


@dataclass(frozen=True, slots=True)
class SeatShown:
    """A cup on its seat: row and place from 1, its code, what is in it, and what was counted there."""

    row: int
    place: int
    code: str
    level: str
    counted: str = ""
    lost: bool = False


def rows_of(seats: Sequence[SeatShown]) -> list[tuple[int, list[SeatShown]]]:
    """The rows from the window inwards, each with its seats in order."""
    rows: dict[int, list[SeatShown]] = {}
    for seat in sorted(seats, key=lambda one: (one.row, one.place)):
        rows.setdefault(seat.row, []).append(seat)
    return list(rows.items())


@in_its_language
def levels_with_codes(planned: Planned, seats: Sequence[SeatShown]) -> list[tuple[str, list[str]]]:
    """Who fills the cups reads this: each level with the codes of its cups, by the alphabet."""
    return [
        (clean(level), sorted(seat.code for seat in seats if seat.level == level)) for level in planned.levels
    ]


@in_its_language
def map_text(planned: Planned, seats: Sequence[SeatShown]) -> str:
    """The seat map, with codes only."""
    places = max((seat.place for seat in seats), default=0)
    head = [say("Row"), *(say("Place {number}", number=place) for place in range(1, places + 1))]
    rows = [[str(row), *(marked(seat) for seat in line)] for row, line in rows_of(seats)]
    return "\n".join([say("Seat map"), near_line(planned), "", *set_out(head, rows, _WIDTH)])


@in_its_language
def levels_text(planned: Planned, seats: Sequence[SeatShown]) -> str:
    """The list of levels."""
    lines = [
        say("{level}: {codes}", level=level, codes=", ".join(codes))
        for level, codes in levels_with_codes(planned, seats)
    ]
    return "\n".join([say("Levels: only for who fills the cups"), "", *lines])


@in_its_language
def form_text(planned: Planned, seats: Sequence[SeatShown]) -> str:
    """The form for counting, by code."""
    head = [say("Cup"), say("Cysts in it"), say("Hatched")]
    rows = [[seat.code, str(planned.cysts), "_______"] for seat in to_count(seats)]
    return "\n".join([say("Form for counting"), "", *set_out(head, rows, _WIDTH)])


def marked(seat: SeatShown) -> str:
    """A cup on a printed map: × stands behind one that is lost."""
    return f"{seat.code} ×" if seat.lost else seat.code


def to_count(seats: Sequence[SeatShown]) -> list[SeatShown]:
    """What a form for counting asks for: no lost cup."""
    return [seat for seat in by_code(seats) if not seat.lost]


def by_code(seats: Sequence[SeatShown]) -> list[SeatShown]:
    """In the order of the form, which follows neither seats nor levels."""
    return sorted(seats, key=lambda one: one.code)


@in_its_language
def missing(_planned: Planned, seats: Sequence[SeatShown]) -> str:
    """Which cups have no count yet, but for lost ones; empty where all have one."""
    left = [seat.code for seat in by_code(seats) if not seat.counted and not seat.lost]
    return say("Not counted yet: {codes}.", codes=joined(left)) if left else ""
