"""What could be known at best of the simulated weekends, beside what was believed: the page's last tables.

Written by `tests.bench.calibration`, of the very weekends it is about.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from multiprocessing.pool import Pool
from textwrap import fill

from daemon.estimates.quantile import Estimate
from tests.kit.ceilings import hatch, trained
from tests.kit.ceilings.lived import lived_weekend
from tests.kit.ceilings.water import WaterFilter
from tests.kit.other_physics import HOUR
from tests.kit.scores import FAILED, of, score, share_held, skill, width
from tests.kit.weekends import CELLS, FAILED_H, LEAVES, Record

TOP_UPS = (0, 1, 3)
BY_LAW = {
    "loss_ml": "Water lost by now",
    "salinity_g_per_kg": "Salinity now",
    "low_mark_at": "When the water is low",
    "loss_ml_per_day": "Loss of the last day",
    "weekend_loss_ml": "Monday's level, on Friday",
    "hatch_t10": "When a tenth hatched",
    "hatch_t50": "When half has hatched",
    "hatch_t90": "When 9 in 10 hatched",
}
BY_TRAINING = {"first_night_c_min": "Coldest of 16 h, on Friday", "weekend_c_min": "Weekend's coldest"}
Believed = dict[tuple[bool, int, str], Estimate]
Cell = tuple[int, int, bool]  # seed, top-ups, cone


@dataclass(frozen=True)
class Best:
    """What those believed who know best, by weekend; of failures by how often they take them to be."""

    weekends: dict[Cell, Believed]
    failed: dict[str, list[Record]]
    second: list[Record]


@cache
def _lots() -> hatch.Lots:
    return hatch.Lots()


def best_of(cell: Cell) -> Believed:
    """The water with and without a room probe, and the hatch."""
    seed, top_ups, cone = cell
    lived = lived_weekend(seed, top_ups, cone=cone)
    found: Believed = {}
    for room in (False,) if cone else (False, True):
        for at, told in WaterFilter(lived, knows_vapour=room).best().items():
            found |= {(room, at, name): believed for name, believed in told.items()}
        for at, told in hatch.best(lived, _lots()).items():
            found |= {(room, at, name): believed for name, believed in told.items()}
    return found


def best_second(record: Record) -> Record | None:
    """The second batch of a tin whose first swimmers only were noted."""
    believed = hatch.best_second(record.seed, _lots())
    return None if believed is None else replace(record, believed=believed)


@dataclass(frozen=True)
class Ours:
    """What was believed: of cups, of cones, of heatings that failed, of second batches."""

    cups: Sequence[Record]
    cones: Sequence[Record]
    failed: Sequence[Record]
    second: Sequence[Record]


def best(pool: Pool, ours: Ours) -> Best:
    """Those who know best, of the same weekends, failures and second batches."""
    cups, cones, failed, second = ours.cups, ours.cones, ours.failed, ours.second
    cells = sorted({(r.seed, r.top_ups, cone) for cone, some in ((False, cups), (True, cones)) for r in some})
    weekends = dict(zip(cells, pool.imap(best_of, cells, chunksize=4), strict=True))
    seeds = sorted({r.seed for r in cups})
    trained_on = pool.map(trained.weekends_of, [(n, seeds) for n in TOP_UPS])
    for top_ups, learned in zip(TOP_UPS, trained_on, strict=True):
        for (seed, name), believed in learned.items():
            for room in (False, True):
                weekends[seed, top_ups, False][room, LEAVES, name] = believed
    told = pool.map(partial(trained.failures_of, sorted({r.seed for r in failed})), trained.OFTEN)
    by_often = {
        name: [replace(r, believed=said[r.seed, r.top_ups]) for r in failed]
        for name, said in zip(trained.OFTEN, told, strict=True)
    }
    return Best(weekends, by_often, [r for r in pool.map(best_second, second) if r is not None])


BEST = """What those could know at best who know the simulated world itself, and so more than any program: its
laws and how its rooms, cups and lots are drawn. Of the water they also know the true warmth, the true air
and, with a room's probe, its vapour; of the hatch the true warmth to come. They do not know the cup, the jug,
the jumps, the lot. The coldest water is foretold by a network that learned 2000 other weekends of this world:
so much can be known at the least. Skill of ours, and of theirs on the same weekends; where theirs is below an
aim, nobody can reach it."""
OUT = """Whoever knows as well how rarely a heating fails (once in 60 days) must take most cool hours for cool
hours: for them it is right to miss most failures at first. Held, and skill, of networks that learned from
failures as often as they are, ten times as often, and of failures alone."""


def told_tables(ours: Ours, best: Best) -> str:
    """The tables as Markdown: ours beside the best."""
    cups = [
        (title, [_both(best, ours.cups, name, n, room, cone=False) for n, room in CELLS])
        for name, title in (BY_LAW | BY_TRAINING).items()
    ]
    cones = [
        (title, [_both(best, ours.cones, name, n, False, cone=True) for n in TOP_UPS])
        for name, title in BY_LAW.items()
    ]
    out = [("ours", _held_skills(ours.failed))]
    out += [(often, _held_skills(some)) for often, some in best.failed.items()]
    heads = [f"{_top_ups(n)}{', room' if room else ''}" for n, room in CELLS]
    title = "skill, ours / at best"
    parts = ["### What could be known at best", BEST, _table(title, heads, cups)]
    parts += [
        "Cones, the air and the heater as told or not:",
        _table(title, [_top_ups(n) for n in TOP_UPS], cones),
    ]
    parts += [OUT, _table("heating out: held, skill", [f"{h} h" for h in FAILED_H], out)]
    return "\n\n".join([*parts, _told_second(ours.second, best.second)])


def _told_second(all_ours: Sequence[Record], best: Sequence[Record]) -> str:
    seeds = {record.seed for record in best}
    ours = [record for record in all_ours if record.seed in seeds]
    told = [
        f"{share_held(some):.2f} at {width(some) / HOUR:.1f} h wide, score {score(some) / HOUR:.1f} h"
        for some in (ours, best)
    ]
    whose = "The second batch of a tin whose first swimmers only were noted, half hatched: held"
    return fill(f"{whose} {told[0]}; at best {told[1]}.", 105)


def _both(best: Best, ours: Sequence[Record], name: str, top_ups: int, room: bool, *, cone: bool) -> str:
    some = of(ours, name, top_ups, room)
    theirs = [replace(r, believed=best.weekends[r.seed, top_ups, cone][room, r.at, name]) for r in some]
    return f"{skill(some):+.2f} / {skill(theirs):+.2f}"


def _held_skills(failed: Sequence[Record]) -> list[str]:
    cells = [of(failed, FAILED.name, hours, False) for hours in FAILED_H]
    return [f"{share_held(cell):.2f}, {skill(cell):+.2f}" for cell in cells]


def _top_ups(count: int) -> str:
    return f"{count} top-up{'' if count == 1 else 's'}"


def _table(title: str, heads: Sequence[str], rows: Iterable[tuple[str, Sequence[str]]]) -> str:
    lines = [f"| {title} | {' | '.join(heads)} |", "| --- |" + " --- |" * len(heads)]
    return "\n".join([*lines, *(f"| {name} | {' | '.join(cells)} |" for name, cells in rows)])
