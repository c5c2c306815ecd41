"""Plans starts for lessons in worlds of other physics, prints how often they met them, and writes it.

    python -m tests.bench.starts [--lessons 300] [--seed 20000] [--jobs 2] [--rehearsed] [--write docs]

Nothing is asserted: tests/whole/calibration/test_starts.py does that with fewer. Tune on `--seed 10000` and
up, without `--write`.
"""

import argparse
import time
from collections.abc import Iterable, Sequence
from itertools import pairwise
from multiprocessing import Pool
from pathlib import Path

from tests.kit import rehearsed_lessons
from tests.kit.planned_lessons import CELLS, Outcome, outcome_of

BEGINS = "<!-- written by tests/bench/starts.py, up to the end mark -->"
ENDS = "<!-- end mark -->"
HEAD = "promised | met | a day before | two days before | T50 held, and before its middle |"
RULE = "| --- | --- | --- | --- | --- | --- | --- |"
BINS = (0.0, 0.05, 0.1, 0.2, 0.4, 1.01)


def main() -> None:
    """Play, print, and write where asked."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("--lessons", type=int, default=300)
    asked.add_argument("--seed", type=int, default=20000, help="the first seed")
    asked.add_argument("--jobs", type=int, default=2)
    asked.add_argument("--rehearsed", action="store_true", help="in the world of rehearsals")
    asked.add_argument("--write", type=Path, metavar="DOCS", help="folder of the documentation")
    told = asked.parse_args()
    began = time.monotonic()
    with Pool(told.jobs) as pool:
        played = rehearsed_lessons.outcome_of if told.rehearsed else outcome_of
        found = pool.map(played, range(told.seed, told.seed + told.lessons), chunksize=4)
    tables = told_tables(found)
    print(tables)
    print(f"{told.lessons} lessons in {time.monotonic() - began:.0f} s with {told.jobs} jobs")
    if told.write:
        page = told.write / "explanation" / "starts.md"
        text = page.read_text("utf-8")
        before, rest = text.split(BEGINS)
        page.write_text(f"{before}{BEGINS}\n\n{tables}\n\n{ENDS}{rest.split(ENDS)[1]}", "utf-8")


def told_tables(found: Sequence[Outcome]) -> str:
    """The tables as Markdown."""
    return "\n\n".join(
        [_by_cell(found), _by_promise(found), _by_length(found), _besides(found), _two_cups(found)]
    )


def _by_cell(found: Sequence[Outcome]) -> str:
    cells = [(name, [o for o in found if o.lesson.cell == place]) for place, name in enumerate(CELLS)]
    rows = [_row(name, some) for name, some in (("all", found), *cells) if some]
    return "\n".join([f"| planned with | lessons | {HEAD}", RULE, *rows])


def _by_length(found: Sequence[Outcome]) -> str:
    length_min = {o: (o.lesson.span[1] - o.lesson.span[0]) // 60 for o in found}
    rows = [
        _row(f"{length} min", [o for o in found if length_min[o] == length])
        for length in sorted(set(length_min.values()))
    ]
    return "\n".join([f"| lesson | lessons | {HEAD}", RULE, *rows])


def _by_promise(found: Sequence[Outcome]) -> str:
    bins = [
        ([o for o in found if low <= o.share < high], low, min(1.0, high)) for low, high in pairwise(BINS)
    ]
    rows = [
        f"| {low:.2f} to {high:.2f} | {len(some)} | {mean(o.share for o in some):.3f} "
        f"| {mean(o.met for o in some):.3f} |"
        for some, low, high in bins
        if some
    ]
    head = "| promised | lessons | promised, mean | met |"
    return "\n".join([head, "| --- | --- | --- | --- |", *rows])


def _besides(found: Sequence[Outcome]) -> str:
    hedged = [o for o in found if o.hedge is not None]
    told = (
        (
            "hatching under way in the lesson",
            found,
            mean(o.under_way for o in found),
            mean(o.seen for o in found),
        ),
        (
            "one of two cups meets the lesson",
            hedged,
            mean(o.hedge or 0.0 for o in hedged),
            mean(o.hedge_met for o in hedged),
        ),
    )
    rows = [f"| {name} | {len(some)} | {promised:.3f} | {came:.3f} |" for name, some, promised, came in told]
    return "\n".join(["| besides | lessons | promised, mean | came |", "| --- | --- | --- | --- |", *rows])


def _two_cups(found: Sequence[Outcome]) -> str:
    """Two cups where the plan names two, against two by rule of thumb."""
    cells = [(name, [o for o in found if o.lesson.cell == place]) for place, name in enumerate(CELLS)]
    rows = [
        f"| {name} | {len(some)} | {mean(o.met for o in some):.3f} "
        f"| {mean(o.met_as_advised for o in some):.3f} | {mean(o.met_by_rule for o in some):.3f} |"
        for name, some in (("all", found), *cells)
        if some
    ]
    head = "| planned with | lessons | one cup | two where named | one a day, one two days before |"
    return "\n".join([head, "| --- | --- | --- | --- | --- |", *rows])


def _row(name: str, some: Sequence[Outcome]) -> str:
    figures = (
        mean(o.share for o in some),
        mean(o.met for o in some),
        mean(o.day_before for o in some),
        mean(o.two_before for o in some),
    )
    told = " | ".join(f"{figure:.3f}" for figure in figures)
    return f"| {name} | {len(some)} | {told} | {held(some):.2f}, {before_middle(some):.2f} |"


def held(some: Iterable[Outcome]) -> float:
    """How often half hatched between p10 and p90."""
    return mean(o.t50.p10 <= o.truth <= o.t50.p90 for o in some if o.t50 is not None and o.truth is not None)


def before_middle(some: Iterable[Outcome]) -> float:
    """How often half hatched before p50."""
    return mean(o.truth < o.t50.p50 for o in some if o.t50 is not None and o.truth is not None)


def mean(values: Iterable[float]) -> float:
    """The mean of numbers or truths; 0 of none."""
    some = [float(value) for value in values]
    return sum(some) / len(some) if some else 0.0


if __name__ == "__main__":
    main()
