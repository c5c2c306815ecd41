"""Reads a table of a plain letter back into its cells, as `reports.letters.text_table` sets it."""

import re
from collections.abc import Sequence

_RULE = re.compile(r"-+(?:  -+)+")


def table_in(lines: Sequence[str]) -> list[list[str]] | None:
    """The head and the rows of a table, cell by cell; None where these lines are none."""
    rule = next((at for at, line in enumerate(lines) if _RULE.fullmatch(line)), None)
    if rule is None:
        return None
    spans = [(part.start(), part.end()) for part in re.finditer(r"-+", lines[rule])]
    rows: list[list[str]] = []
    for line in [*lines[:rule], *lines[rule + 1 :]]:
        cells = [
            line[began : ended if n + 1 < len(spans) else None].strip()
            for n, (began, ended) in enumerate(spans)
        ]
        if rows and line.startswith("  "):
            rows[-1] = [" ".join(filter(None, pair)) for pair in zip(rows[-1], cells, strict=True)]
        else:
            rows.append(cells)
    return rows
