"""Plays weekends with other physics, prints how the beliefs held and what they are worth, and writes it into
the page about it.

    python -m tests.bench.calibration [--weekends 300] [--seed 0] [--jobs 2] [--write docs]

Nothing is asserted: tests/whole/calibration/test_calibration.py does that with fewer weekends. The same seeds
give the same page and picture, byte for byte. Tune on `--seed 10000` and up, without `--write`.
"""

import argparse
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from multiprocessing import Pool
from pathlib import Path
from statistics import median
from textwrap import fill

from tests.bench import ceilings
from tests.bench.calibration_figure import draw
from tests.kit.other_physics import HOUR
from tests.kit.scores import (
    FAILED,
    QUANTITIES,
    Quantity,
    middle_error,
    of,
    relative_width,
    share_held,
    skill,
    typical_error,
    weekend_errors,
    width,
)
from tests.kit.weekends import (
    CELLS,
    FAILED_H,
    Record,
    heating_failed,
    played,
    two_batches,
    two_batches_first_only,
)

BEGINS = "<!-- written by tests/bench/calibration.py, up to the end mark -->"
ENDS = "<!-- end mark -->"
TOP_UPS = (0, 1, 3)
Lots = Sequence[tuple[Record, Record]]
Cell = Sequence[Record]
HELD = "Claimed: 0.80. The aim: 0.75 to 0.90 in every row."
SKILL = """How much better than the best rule of thumb: 1 less the score over that of the rule, where a score
is the mean pinball loss of p10, p50 and p90. 0 is as good as the rule, 1 would be knowing it; below 0 the
rule is the better guess. The rules stand below."""
WIDTHS = """Median of p90 − p10; in brackets, as a share of the median truth (of times: of how far off they
were)."""
ERRORS = """How far the middle (p50) of the forecast made on Friday at 15:30 was from what was really lost
until Monday 08:00: the median of its size, and which way it leans. The aim after three top-ups: under
15 %."""
CONES = """A litre in a cone with 0.4 to 2 L of air a minute, six of ten with a heater; in half of the rooms
the station file says how much air, and how warm it is held. Share held, and skill."""
LOOKED_AT = """Lots were set on a Thursday, looked at in school hours, and set again a week later in the same
cup."""
ONLY_FIRST = """Others were set on any day; people came by at random in school hours, noted when they first
saw swimmers, and nothing else."""
OUT = "The coldest water of the next 16 hours, asked while a room's heating has been out for so long."


@dataclass(frozen=True)
class Played:
    """What was played: weekends of cups and of cones, heatings that failed, lots."""

    cups: list[Record]
    cones: list[Record]
    failed: list[Record]
    lots: Lots
    only_first: Lots


def main() -> None:
    """Play, print, and write where asked."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("--weekends", type=int, default=300)
    asked.add_argument("--seed", type=int, default=0, help="the first seed")
    asked.add_argument("--jobs", type=int, default=2)
    asked.add_argument("--write", type=Path, metavar="DOCS", help="folder of the documentation")
    told = asked.parse_args()
    began = time.monotonic()
    all_played = play(range(told.seed, told.seed + told.weekends), told.jobs)
    tables = f"{told_tables(all_played)}\n\n{told_ceilings(all_played, told.jobs)}"
    print(tables)
    print(f"{told.weekends} weekends in {time.monotonic() - began:.0f} s with {told.jobs} jobs")
    if told.write:
        page = told.write / "explanation" / "calibration.md"
        page.write_text(with_tables(page.read_text("utf-8"), tables), "utf-8")
        (told.write / "images" / "calibration.svg").write_bytes(draw(all_played.cups, told.weekends))


def with_tables(page: str, tables: str) -> str:
    """The page with its generated part written anew; what people wrote around it stays."""
    before, rest = page.split(BEGINS)
    _, after = rest.split(ENDS)
    return f"{before}{BEGINS}\n\n{tables}\n\n{ENDS}{after}"


def play(seeds: Iterable[int], jobs: int) -> Played:
    """All cells of these seeds, and two batches of a lot each."""
    with Pool(jobs) as pool:
        lots = pool.map(two_batches, seeds, chunksize=4)
        cups, cones = (
            [pool.imap(partial(_weekend, n, cone), seeds, chunksize=4) for n in TOP_UPS]
            for cone in (False, True)
        )
        failed = pool.map(heating_failed, seeds, chunksize=4)
        only_first = [pair for pair in pool.map(two_batches_first_only, seeds, chunksize=4) if pair]
        return Played(_joined(*cups), _joined(*cones), _joined(failed), lots, only_first)


def told_ceilings(found: Played, jobs: int) -> str:
    """What could be known at best of the same weekends."""
    second = [pair[1] for pair in found.only_first]
    ours = ceilings.Ours(found.cups, found.cones, found.failed, second)
    with Pool(jobs) as pool:
        best = ceilings.best(pool, ours)
    return ceilings.told_tables(ours, best)


def _joined(*weeks: Iterable[list[Record]]) -> list[Record]:
    return [record for week in weeks for records in week for record in records]


def _weekend(top_ups: int, cone: bool, seed: int) -> list[Record]:
    return played(seed, top_ups, cone=cone)


def told_tables(found: Played) -> str:
    """The tables as Markdown, and what became of the lots."""
    cups = found.cups
    errors = [weekend_errors(cups, n, room) for n, room in CELLS]
    sizes = _row("typical error", [_percent(typical_error(e)) for e in errors])
    leans = _row("leans by", [f"{100.0 * median(e):+.0f} %" for e in errors])
    heads = [f"{_top_ups(n)}{', room' if room else ''}" for n, room in CELLS]
    parts = [f"{len(errors[0])} weekends in each of the six cells and of cones, and {len(found.lots)} lots."]
    parts += ["### How many ranges held the truth", HELD, _of_cups("share held", heads, cups, _held)]
    parts += ["### What they are worth", SKILL, _of_cups("skill", heads, cups, _worth)]
    parts += ["### How wide they were", WIDTHS, _of_cups("p90 − p10", heads, cups, _width)]
    parts += ["### The weekend's loss, forecast on Friday", ERRORS, _table("error", heads, [sizes, leans])]
    parts += ["### Cones", CONES, _of_cones(found.cones)]
    parts += ["### A heating that failed", OUT, _of_failed(found.failed)]
    parts += ["### The second batch of a lot", _told_lots(found.lots, LOOKED_AT)]
    return "\n\n".join([*parts, _told_lots(found.only_first, ONLY_FIRST)])


def _of_cups(
    title: str, heads: Sequence[str], cups: list[Record], tell: Callable[[Cell, Quantity], str | None]
) -> str:
    rows = [(q, [tell(of(cups, q.name, n, room), q) for n, room in CELLS]) for q in QUANTITIES]
    unit = title.startswith("p90")
    told = [
        _row(f"{q.title}, {q.unit}" if unit else q.title, [cell for cell in cells if cell])
        for q, cells in rows
        if all(cells)
    ]
    return _table(title, heads, told)


def _of_cones(cones: list[Record]) -> str:
    rows = []
    for q in QUANTITIES:
        cells = [of(cones, q.name, n, False) for n in TOP_UPS]
        worth = [_worth(cell, q) for cell in cells]
        told = [f"{_held(c, q)}, {w}" if w else _held(c, q) for c, w in zip(cells, worth, strict=True)]
        rows.append(_row(q.title, told))
    return _table("held, skill", list(map(_top_ups, TOP_UPS)), rows)


def _of_failed(failed: list[Record]) -> str:
    cells = [of(failed, FAILED.name, hours, False) for hours in FAILED_H]
    rows = [
        _row("share held", [_held(cell, FAILED) for cell in cells]),
        _row("skill", [_worth(cell, FAILED) or "" for cell in cells]),
        _row("typical error, °C", [f"{middle_error(cell):.1f}" for cell in cells]),
        _row("p90 − p10, °C", [f"{width(cell):.1f}" for cell in cells]),
    ]
    return _table(f"{len(cells[0])} rooms", [f"{hours} h" for hours in FAILED_H], rows)


def _top_ups(count: int) -> str:
    return f"{count} top-up{'' if count == 1 else 's'}"


def _held(cell: Cell, _: Quantity) -> str:
    return f"{share_held(cell):.2f}"


def _worth(cell: Cell, _: Quantity) -> str | None:
    worth = skill(cell)
    return None if worth is None else f"{worth:+.2f}"


def _told_lots(lots: Lots, how: str) -> str:
    first, second = (tuple(batch) for batch in zip(*lots, strict=True))
    narrower = median(b.width / a.width for a, b in lots)
    held = f"{share_held(first):.2f} of the first batches and in {share_held(second):.2f} of the second ones"
    hours = f"{width(second) / HOUR:.1f} h against {width(first) / HOUR:.1f} h"
    told = (
        f"{how} Asked 90 minutes after setting, the range of the time when half has hatched held the truth "
        f"in {held}. The second range was {narrower:.2f} times as wide as the first ({hours})."
    )
    return fill(told, 105)


def _row(title: str, cells: Iterable[str]) -> str:
    return f"| {title} | {' | '.join(cells)} |"


def _table(title: str, heads: Sequence[str], rows: Iterable[str]) -> str:
    return "\n".join([_row(title, heads), "| --- |" + " --- |" * len(heads), *rows])


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
