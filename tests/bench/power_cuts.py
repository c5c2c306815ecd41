"""Cuts the power of a station a thousand times and prints what was lost. Exit code 1 if anything was.

    python -m tests.bench.power_cuts [--kills 1000] [--jobs 2] [--seed 1] [--only WAY]

`kill`: the process and its drawing child are killed (SIGKILL) at a random moment, also while it starts and
while the mail server takes a letter. `forget`: besides, what was not synced is gone, in part or whole, by
sectors of 512 bytes. Half the kills are of each. `run`: `naupliad run` itself in real time, a few seconds a
kill; see tests/kit/cut_daemon.py for what is counted. `lying`: a card that says it has synced and has not,
for up to 400 writes; then beats may be lost, but every start must succeed. `unsynced` is the check of this
check: a store that never syncs, and must be found out.
"""

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, fields
from datetime import date
from pathlib import Path

from tests.kit.cut_daemon import suffer_whole
from tests.kit.cut_station import CutStation, Tally, nursery
from tests.kit.lost_writes import built_shim

_KILLS_A_STATION = 40


@dataclass(frozen=True)
class Share:
    """What one process does: so many kills of one station."""

    way: str
    kills: int
    seed: int


def suffer(share: Share) -> Tally:
    """One station from its first beat to the end of its letters."""
    with tempfile.TemporaryDirectory(prefix="power-cuts-") as name:
        folder = Path(name)
        if share.way == "run":
            return suffer_whole(folder / "station", share.seed, share.kills)
        shim = None if share.way == "kill" else built_shim(folder)
        if share.way != "kill" and shim is None:
            raise SystemExit("power_cuts: found no C compiler (cc); allowed without it: --only kill")
        with nursery(shim) as born:
            station = CutStation(
                folder / "station",
                share.seed,
                born,
                forgetful=share.way != "kill",
                durable=share.way != "unsynced",
                lying=share.way == "lying",
            )
            return station.suffer(share.kills)


def shares(way: str, kills: int, seed: int) -> list[Share]:
    """The kills in portions; each station begins with an empty folder."""
    begins = range(0, kills, _KILLS_A_STATION)
    return [
        Share(way, min(_KILLS_A_STATION, kills - done), seed + place) for place, done in enumerate(begins)
    ]


def table(tallies: dict[str, Tally]) -> str:
    """A row for everything counted, a column for every way."""
    lines = [f"| | {' | '.join(tallies)} |", f"| --- |{' --- |' * len(tallies)}"]
    for one in fields(Tally):
        counts = [getattr(tally, one.name) for tally in tallies.values()]
        shown = [len(count) if isinstance(count, list) else count for count in counts]
        lines.append(f"| {one.name.replace('_', ' ')} | {' | '.join(map(str, shown))} |")
    return "\n".join(lines)


def main(words: Sequence[str]) -> int:
    """Do it and print the table."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    asked.add_argument("--kills", type=int, default=1000)
    asked.add_argument("--jobs", type=int, default=2)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--only", choices=("kill", "forget", "lying", "unsynced", "run"))
    told = asked.parse_args(words)
    ways = [told.only] if told.only else ["kill", "forget"]
    began = time.monotonic()
    tallies = {way: Tally() for way in ways}
    work = [share for way in ways for share in shares(way, told.kills // len(ways), told.seed)]
    with ProcessPoolExecutor(told.jobs) as pool:
        for share, tally in zip(work, pool.map(suffer, work), strict=True):
            tallies[share.way].add(tally)
            print(f"{share.way}, seed {share.seed}: {tally.cuts} cuts", *tally.broken, sep="\n  ", flush=True)
    print(table(tallies))
    machine = f"{os.uname().machine}, {os.cpu_count()} cores"
    print(f"\nmeasured on {date.today().isoformat()}, {machine}, in {time.monotonic() - began:.0f} s")  # noqa: DTZ011 - the day for the reader
    return 0 if all(tally.held for tally in tallies.values()) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
