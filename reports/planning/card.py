"""A plan as a card: a title, then parts with tables, lines and steps; as plain text, and for a template."""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from reports.letters.text_table import set_out

TEXT_WIDTH = 78


@dataclass(frozen=True, slots=True)
class PlanReader:
    """For whom a plan is written: the language, and how temperatures are shown ("C" or "F")."""

    language: str = "en"
    temperature_unit: str = "C"


@dataclass(frozen=True, slots=True)
class PlanTable:
    """Figures in rows as long as `heads`; a row whose last cell is empty goes across."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class PlanPart:
    """A part under its heading (empty for the first): a table, then lines, which are steps where `steps`."""

    heading: str
    lines: tuple[str, ...] = ()
    table: PlanTable | None = None
    steps: bool = False


@dataclass(frozen=True, slots=True)
class PlanCard:
    """The card, its parts in the order in which they are needed."""

    title: str
    parts: tuple[PlanPart, ...]


def as_text(card: PlanCard) -> str:
    """The card as a command prints it."""
    return "\n\n".join(["\n".join(part) for part in ([card.title], *map(_part_lines, card.parts)) if part])


def _part_lines(part: PlanPart) -> list[str]:
    lines = [part.heading] if part.heading else []
    if part.table is not None:
        lines += set_out(part.table.heads, part.table.rows, TEXT_WIDTH)
    for at, line in enumerate(part.lines, 1):
        mark = f"{at}. " if part.steps else "  "
        lines += textwrap.wrap(line, TEXT_WIDTH, initial_indent=mark, subsequent_indent=" " * len(mark))
    return lines


def parts_with_words(parts: Sequence[PlanPart]) -> tuple[PlanPart, ...]:
    """Those that say something."""
    return tuple(part for part in parts if part.lines or part.table is not None)
