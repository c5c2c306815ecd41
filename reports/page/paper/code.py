"""A QR code (ISO/IEC 18004) as the path of an SVG."""

from dataclasses import dataclass
from itertools import groupby

import segno

QUIET = 4  # modules of white all around (ISO/IEC 18004 [M])


@dataclass(frozen=True, slots=True)
class Code:
    """A code: `side` modules wide with its quiet zone; `path` holds its dark modules."""

    side: int
    path: str


def code_of(text: str) -> Code:
    """The code of a text; a small blot on it is read through (level M, or more where there is room)."""
    # Never a Micro QR: phones do not read it.
    matrix = segno.make(text, error="m", micro=False).matrix
    rows = (_row(y + QUIET, row) for y, row in enumerate(matrix))
    return Code(len(matrix) + 2 * QUIET, "".join(rows))


def _row(y: int, modules: bytearray) -> str:
    """A row's dark runs, each a box one module high."""
    drawn, x = [], QUIET
    for dark, run in groupby(modules):
        length = len(list(run))
        if dark:
            drawn.append(f"M{x} {y}h{length}v1h-{length}z")
        x += length
    return "".join(drawn)
