"""Spoils a thousand stores inside their rows, prints what became of them. Exit code 1 if anything was lost.

    python -m tests.bench.spoiled_rows [--stores 1000] [--seed 1] [--jobs 1]

Each is a copy of one store with all a station keeps. One to six values of its rows and index entries are
overwritten, byte by byte in the file (text, numbers, JSON, keys, types); then a station is started on it as
the daemon is, and lives on past a nightly letter. What must be true then
stands in tests/kit/spoiled_station.py.
"""

import argparse
import logging
import sys
import tempfile
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import fields
from pathlib import Path

from tests.kit.spoiled_station import Spoils, base_store, suffer

_AT_ONCE = 20


def some(seeds: Sequence[int]) -> Spoils:
    """The stores of some seeds."""
    logging.disable(logging.CRITICAL)
    found = Spoils()
    with tempfile.TemporaryDirectory(prefix="spoiled-rows-") as name:
        base = base_store(Path(name) / "base")
        for seed in seeds:
            found.add(suffer(base, Path(name) / str(seed), seed))
    return found


def main(words: Sequence[str]) -> int:
    """Do it and print the table."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    asked.add_argument("--stores", type=int, default=1000)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--jobs", type=int, default=1)
    told = asked.parse_args(words)
    began, found = time.monotonic(), Spoils()
    seeds = range(told.seed, told.seed + told.stores)
    shares = [seeds[at : at + _AT_ONCE] for at in range(0, len(seeds), _AT_ONCE)]
    with ProcessPoolExecutor(told.jobs) as pool:
        for share in pool.map(some, shares):
            found.add(share)
            print(f"{found.stores} stores", *share.broken, sep="\n", flush=True)
    for one in fields(Spoils):
        value = getattr(found, one.name)
        print(f"| {one.name.replace('_', ' ')} | {len(value) if isinstance(value, list) else value} |")
    print(f"\nseeds {seeds[0]} to {seeds[-1]}, in {time.monotonic() - began:.0f} s")
    return 0 if found.held else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
