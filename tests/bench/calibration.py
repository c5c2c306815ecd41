"""Plays weekends with other physics, prints how the beliefs held, and writes it into the page about it.

    python -m tests.bench.calibration [--weekends 300] [--seed 0] [--jobs 2] [--write docs]

Nothing is asserted: tests/whole/calibration/test_calibration.py does that with fewer weekends. The same seeds
give the same page and picture, byte for byte. Tune on `--seed 10000` and up, without `--write`.
"""

import argparse
import time
from collections.abc import Iterable, Sequence
from functools import partial
from multiprocessing import Pool
from pathlib import Path
from statistics import median

from tests.bench.calibration_figure import draw
from tests.kit.other_physics import HOUR
from tests.kit.scores import (
    QUANTITIES,
    Quantity,
    of,
    relative_width,
    share_held,
    typical_error,
    weekend_errors,
    width,
)
from tests.kit.weekends import CELLS, Record, played, two_batches

BEGINS = "<!-- written by tests/bench/calibration.py, up to the end mark -->"
ENDS = "<!-- end mark -->"
Lots = Sequence[tuple[Record, Record]]
HELD = "Claimed: 0.80. The aim: 0.75 to 0.90 in the first four rows."
WIDTHS = """Median of p90 − p10; in brackets, as a share of the median truth (of times: of how far off they
were)."""
ERRORS = """How far the middle (p50) of the forecast made on Friday at 15:30 was from what was really lost
until Monday 08:00: the median of its size, and which way it leans. The aim after three top-ups: under
15 %."""
HEADS = tuple(f"{n} top-up{'' if n == 1 else 's'}{', room' if room else ''}" for n, room in CELLS)


def main() -> None:
    """Play, print, and write where asked."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("--weekends", type=int, default=300)
    asked.add_argument("--seed", type=int, default=0, help="the first seed")
    asked.add_argument("--jobs", type=int, default=2)
    asked.add_argument("--write", type=Path, metavar="DOCS", help="folder of the documentation")
    told = asked.parse_args()
    began = time.monotonic()
    records, lots = play(range(told.seed, told.seed + told.weekends), told.jobs)
    tables = told_tables(records, lots)
    print(tables)
    print(f"{told.weekends} weekends in {time.monotonic() - began:.0f} s with {told.jobs} jobs")
    if told.write:
        page = told.write / "explanation" / "calibration.md"
        page.write_text(with_tables(page.read_text("utf-8"), tables), "utf-8")
        (told.write / "images" / "calibration.svg").write_bytes(draw(records, told.weekends))


def with_tables(page: str, tables: str) -> str:
    """The page with its generated part written anew; what people wrote around it stays."""
    before, rest = page.split(BEGINS)
    _, after = rest.split(ENDS)
    return f"{before}{BEGINS}\n\n{tables}\n\n{ENDS}{after}"


def play(seeds: Iterable[int], jobs: int) -> tuple[list[Record], Lots]:
    """All cells of these seeds, and two batches of a lot each."""
    with Pool(jobs) as pool:
        lots = pool.map(two_batches, seeds, chunksize=4)
        weeks = [pool.imap(partial(_weekend, n), seeds, chunksize=4) for n in (0, 1, 3)]
        return [record for week in weeks for records in week for record in records], lots


def _weekend(top_ups: int, seed: int) -> list[Record]:
    return played(seed, top_ups)


def told_tables(records: Sequence[Record], lots: Lots) -> str:
    """The tables as Markdown, and what became of the lots."""
    held = [_row(q.title, [f"{share_held(cell):.2f}" for cell in _cells(records, q)]) for q in QUANTITIES]
    widths = [_row(f"{q.title}, {q.unit}", [_width(c, q) for c in _cells(records, q)]) for q in QUANTITIES]
    errors = [weekend_errors(records, n, room) for n, room in CELLS]
    sizes = _row("typical error", [_percent(typical_error(e)) for e in errors])
    leans = _row("leans by", [f"{100.0 * median(e):+.0f} %" for e in errors])
    parts = [f"{len(errors[0])} weekends in each of the six cells, and {len(lots)} lots."]
    parts += ["### How many ranges held the truth", HELD, _table("share held", held)]
    parts += ["### How wide they were", WIDTHS, _table("p90 − p10", widths)]
    parts += ["### The weekend's loss, forecast on Friday", ERRORS, _table("error", [sizes, leans])]
    return "\n\n".join([*parts, "### The second batch of a lot", _told_lots(lots)])


def _told_lots(lots: Lots) -> str:
    first, second = (tuple(batch) for batch in zip(*lots, strict=True))
    narrower = median(b.width / a.width for a, b in lots)
    held_first, held_second = share_held(first), share_held(second)
    hours = f"{width(second) / HOUR:.1f} h against {width(first) / HOUR:.1f} h"
    return (
        "Lots were set on a Thursday, looked at in school hours, and set again a week later in the same\n"
        "cup. Asked 90 minutes after setting, the range of the time when half has hatched held the\n"
        f"truth in {held_first:.2f} of the first batches and in {held_second:.2f} of the second ones.\n"
        f"The second range was {narrower:.2f} times as wide as the first ({hours})."
    )


def _cells(records: Sequence[Record], quantity: Quantity) -> list[list[Record]]:
    return [of(records, quantity.name, n, room) for n, room in CELLS]


def _row(title: str, cells: Iterable[str]) -> str:
    return f"| {title} | {' | '.join(cells)} |"


def _table(title: str, rows: Iterable[str]) -> str:
    return "\n".join([_row(title, HEADS), "| --- |" + " --- |" * len(HEADS), *rows])


def _width(cell: Sequence[Record], quantity: Quantity) -> str:
    wide = width(cell) / quantity.per_unit
    shown = f"{wide:.0f}" if wide >= 20 else f"{wide:.1f}" if wide >= 1 else f"{wide:.2f}"
    if quantity.unit in ("°C", "share"):
        return shown
    return f"{shown} ({_percent(relative_width(cell))})"


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} %"


if __name__ == "__main__":
    main()
