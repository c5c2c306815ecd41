"""Plays sunny and grey days in any order on a window sill, and prints how forecasts of heat and cold held.

    python -m tests.bench.heat [--rooms 40] [--seed 10000] [--jobs 2]

Nothing is asserted: tests/unit/daemon/estimates/warmth/test_sunny_days.py does that in fewer rooms. Room and
cup are those of `other_physics`; a day is sunny or grey, and more often like the one before it than not.
"""

import argparse
from collections.abc import Iterable, Sequence
from multiprocessing import Pool
from statistics import median

from tests.kit.sunny_days import GREY, SUNNY, Asked, Warned, sunny_room

DAYS = 14


def main() -> None:
    """Play and print."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("--rooms", type=int, default=40)
    asked.add_argument("--seed", type=int, default=10_000, help="the first seed")
    asked.add_argument("--jobs", type=int, default=2)
    told = asked.parse_args()
    with Pool(told.jobs) as pool:
        played = pool.map(_played, range(told.seed, told.seed + told.rooms), chunksize=1)
    records = [record for records, _ in played for record in records]
    for hours in (8, 16):
        for title, chosen in _parts(records, hours):
            print(f"hottest of {hours:2d} h, {title}: {_held(list(chosen))}")
    for hours in (8, 16):
        for title, chosen in _parts(records, hours):
            print(f"coldest of {hours:2d} h, {title}: {_cold_held(list(chosen))}")
    days = [day for _, found in played for day in found]
    print(_warned(days))
    print(_feared("grey, after a sunny day", [day for day in days if day.grey_after_sun]))
    print(_feared("all days", days))
    far = sum(len({r.day for r in one if r.grey_after_sun and r.far_too_cold}) for one, _ in played)
    print(f"too cold by 1 K at some hour of a grey day after a sunny one: {far} days")


def _played(seed: int) -> tuple[list[Asked], list[Warned]]:
    return sunny_room(seed, DAYS)


def _parts(records: Sequence[Asked], hours: int) -> Iterable[tuple[str, Iterable[Asked]]]:
    some = [r for r in records if r.hours == hours]
    yield "all           ", some
    yield "asked 6 to 10 ", (r for r in some if 6 <= r.clock_h <= 10)
    yield "asked 11 to 15", (r for r in some if 11 <= r.clock_h <= 15)
    yield "days 3 to 5   ", (r for r in some if 3 <= r.day <= 5)
    yield "grey, after a sunny day", (r for r in some if r.grey_after_sun)
    yield "sunny, after a grey day", (r for r in some if r.clear > SUNNY and r.clear_before < GREY)


def _held(records: Sequence[Asked]) -> str:
    if not records:
        return "none"
    count = len(records)
    held = sum(r.low_c <= r.truth_c <= r.high_c for r in records) / count
    low = sum(r.truth_c < r.low_c for r in records) / count
    middle = sum(r.truth_c < r.middle_c for r in records) / count
    off_k = sum(r.middle_c - r.truth_c for r in records) / count
    shares = f"held {held:.2f}, below p10 {low:.2f}, below p50 {middle:.2f}"
    return (
        f"{shares}, width {median(r.high_c - r.low_c for r in records):.1f} K, off {off_k:+.2f} K ({count})"
    )


def _cold_held(records: Sequence[Asked]) -> str:
    if not records:
        return "none"
    count = len(records)
    held = sum(r.coldest.p10 <= r.coldest_c <= r.coldest.p90 for r in records) / count
    high = sum(r.coldest_c > r.coldest.p90 for r in records) / count
    far = sum(r.far_too_cold for r in records) / count
    off_k = sum(r.coldest.p50 - r.coldest_c for r in records) / count
    shares = f"held {held:.2f}, above p90 {high:.2f}, by 1 K and more {far:.3f}"
    wide_k = median(r.coldest.p90 - r.coldest.p10 for r in records)
    return f"{shares}, width {wide_k:.1f} K, off {off_k:+.2f} K ({count})"


def _feared(title: str, days: Sequence[Warned]) -> str:
    feared = sum(day.cold_h is not None for day in days)
    return f"cold ahead in vain, {title}: {100 * feared / max(1, len(days)):.1f} of 100 days ({len(days)})"


def _warned(days: Sequence[Warned]) -> str:
    warned = [d for d in days if d.warned_h is not None]
    passed = [d for d in days if d.passed_h is not None]
    vain = sum(d.passed_h is None for d in warned)
    ahead = sum(d.warned_h is not None for d in passed)
    return (
        f"heat ahead on {len(warned)} days, in vain on {vain} ({vain / max(1, len(warned)):.2f});"
        f" {len(passed)} days past the limit, foreseen {ahead} ({ahead / max(1, len(passed)):.2f})"
    )


if __name__ == "__main__":
    main()
