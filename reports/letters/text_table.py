"""A table set in plain text: columns side by side, cells that are too wide broken within their column."""

import textwrap
from collections.abc import Sequence

_GAP = "  "
_LEAST = 5
# A row that goes on in a further line begins with these, so that a reader's eye (and a program) sees it.
_GOES_ON = "  "


def set_out(head: Sequence[str], rows: Sequence[Sequence[str]], width: int) -> list[str]:
    """The lines of the table, none wider than `width` (words are broken at need); rows are as long as `head`.

    The head is underlined. A row's further lines are indented in its first column.
    """
    widths = _widths([head, *rows], width)
    rule = _GAP.join("-" * wide for wide in widths)
    return [*_row(head, widths), rule, *(line for row in rows for line in _row(row, widths))]


def _widths(rows: Sequence[Sequence[str]], width: int) -> list[int]:
    """How wide each column is: as wide as its widest cell, then the widest gives way until all fit."""
    columns = list(zip(*rows, strict=True))
    widths = [max(1, *(len(cell) for cell in column)) for column in columns]
    least = [_least(column, indented=at == 0) for at, column in enumerate(columns)]
    while sum(widths) + len(_GAP) * (len(widths) - 1) > width:
        yielding = [at for at, wide in enumerate(widths) if wide > least[at]]
        if not yielding and max(widths) <= _LEAST:
            break
        widths[max(yielding or range(len(widths)), key=lambda at: widths[at])] -= 1
    return widths


def _least(column: Sequence[str], *, indented: bool) -> int:
    longest = max((len(word) for cell in column for word in cell.split()), default=0)
    return max(longest + (len(_GOES_ON) if indented else 0), _LEAST)


def _row(cells: Sequence[str], widths: Sequence[int]) -> list[str]:
    broken = [
        textwrap.wrap(cell, wide, subsequent_indent=_GOES_ON if at == 0 else "", break_on_hyphens=False)
        or [""]
        for at, (cell, wide) in enumerate(zip(cells, widths, strict=True))
    ]
    high = max(len(lines) for lines in broken)
    filled = [
        [*lines, *[_GOES_ON if at == 0 else ""] * (high - len(lines))] for at, lines in enumerate(broken)
    ]
    return [
        _GAP.join(part.ljust(wide) for part, wide in zip(line, widths, strict=True)).rstrip()
        for line in zip(*filled, strict=True)
    ]
