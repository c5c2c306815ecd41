"""Weekends and heatings that failed, from which `warmth.Learned` learns, and what it then says. Test-only."""

import random
from collections.abc import Sequence

import numpy as np

from daemon.estimates.quantile import Estimate
from tests.kit.ceilings.lived import Ear
from tests.kit.ceilings.warmth import Learned, seen
from tests.kit.other_physics import DAY, FAILS_H, FAILS_PER_DAY, HOUR, MONDAY, NEVER
from tests.kit.weekends import (
    AHEAD_S,
    FAILED_H,
    LEAVES,
    RETURNS,
    Played,
    fails_at,
    story,
    weeks_before_failing,
)

FIRST, WEEKENDS, FAILURES = 100_000, 2000, 1200  # seeds of nobody else
UNTIL = {"first_night_c_min": LEAVES + AHEAD_S, "weekend_c_min": RETURNS}
# A heating is out for so much of all time: once in 60 days, for 8 to 60 hours.
SHARE_OUT = FAILS_PER_DAY * 0.5 * sum(FAILS_H) / 24.0
# Who takes a heating to be out as rarely as it is; ten times as often; who was told that it is.
OFTEN = {"as rare as they are": 1.0, "ten times as often": 10.0, "told that it failed": np.inf}
Row = tuple[list[float], float]


def weekends_of(told: tuple[int, Sequence[int]]) -> dict[tuple[int, str], Estimate]:
    """The coldest of a Friday night and of a weekend after so many top-ups, by seed and quantity."""
    top_ups, seeds = told
    known = [_weekend(seed, top_ups) for seed in range(FIRST, FIRST + WEEKENDS)]
    asked = [_weekend(seed, top_ups) for seed in seeds]
    found = {}
    for name in UNTIL:
        learned = Learned([rows[name][0] for rows in known], [rows[name][1] for rows in known])
        said = learned.says([rows[name][0] for rows in asked])
        found |= {(seed, name): believed for seed, believed in zip(seeds, said, strict=True)}
    return found


def _weekend(seed: int, top_ups: int) -> dict[str, Row]:
    acts = story(seed, top_ups)
    week, ear = _heard(Played(seed, acts, acts[0].at - 12 * HOUR, top_ups, room_probe=()))
    week.to(RETURNS)
    return {name: _row(week, ear, LEAVES, until) for name, until in UNTIL.items()}


def _heard(week: Played) -> tuple[Played, Ear]:
    ear = Ear()
    week.beliefs = {False: ear}  # type: ignore[dict-item]
    return week, ear


def _row(week: Played, ear: Ear, at: int, until: int) -> Row:
    ahead = week.truth.water_c[week.truth.place(at) : week.truth.place(until) + 1]
    return seen(ear, at, until, week.cup.lamp_h), min(ahead)


def failures_of(seeds: Sequence[int], often: str) -> dict[tuple[int, int], Estimate]:
    """The coldest of the next 16 h while a heating is out, by seed and hours since, for one of `OFTEN`."""
    rows: list[tuple[Row, float]] = []
    for seed in range(FIRST, FIRST + FAILURES):
        out, sound = _failed(seed, drawn=3), [] if np.isinf(OFTEN[often]) else _sound(seed)
        share = 1.0 if np.isinf(OFTEN[often]) else SHARE_OUT * OFTEN[often]
        rows += [(row, share / len(out)) for row in out.values()]
        rows += [(row, (1.0 - SHARE_OUT) / len(sound)) for row in sound]
    learned = Learned([x for (x, _), _ in rows], [y for (_, y), _ in rows], [share for _, share in rows])
    asked = {(seed, hours): row for seed in seeds for hours, row in _failed(seed, drawn=0).items()}
    said = learned.says([x for x, _ in asked.values()])
    return dict(zip(asked, said, strict=True))


def _failed(seed: int, drawn: int) -> dict[int, Row]:
    """Rows by how long the heating has been out; none of a room without one."""
    at, acts, began = fails_at(seed), *weeks_before_failing()
    week, ear = _heard(Played(seed, acts, began, 0, room_probe=(), fails=(at, at + 30 * DAY)))
    if not week.room.heated:
        return {}
    chance = random.Random(f"hours {seed}")
    hours = sorted({*FAILED_H, *(chance.randrange(1, 35) for _ in range(drawn))})
    week.to(at + hours[-1] * HOUR + AHEAD_S)
    return {h: _row(week, ear, at + h * HOUR, at + h * HOUR + AHEAD_S) for h in hours}


def _sound(seed: int) -> list[Row]:
    """Rows of moments at which nothing is wrong, in the days in which others fail."""
    acts, began = weeks_before_failing()
    week, ear = _heard(Played(seed, acts, began, 0, room_probe=(), fails=NEVER))
    chance = random.Random(f"sound {seed}")
    asked = sorted(MONDAY + 2 * DAY + (22 + chance.randrange(106)) * HOUR for _ in range(3))
    week.to(asked[-1] + AHEAD_S)
    return [_row(week, ear, at, at + AHEAD_S) for at in asked]
