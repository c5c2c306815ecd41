"""How large a year is, and what thinning leaves of it: `python tests/bench/year.py`.

A year of six probes at one reading a minute and of hourly estimates of one cup is written through the
store's own functions into a file on disk, without fsync; then it is thinned as the station does it, and
vacuumed to see what the rows need. Nothing is asserted: figures of one machine are no promise about another.
"""

import argparse
import sqlite3
import tempfile
import time
from contextlib import closing
from pathlib import Path

from daemon.estimates.quantile import Estimate
from daemon.store import estimates, readings
from daemon.store.file import WritingStore
from daemon.store.thinning import thin_stretch
from sensors.reading import Quality, Reading

BEGAN = 1_767_225_600  # 2026-01-01T00:00:00Z
DAY_S = 86_400
PROBES = ("tray-water", "room-air", "room-rh", "tray-light", "jar-water", "jar-float")
QUANTITIES = tuple(f"quantity_{number:02}" for number in range(11))  # as many as a batch in a cup has


def write_day(store: WritingStore, began: int) -> None:
    """A day of readings and estimates, in the order in which a station writes them."""
    with store.transaction() as connection:
        for at in range(began, began + DAY_S, 60):
            values = ((probe, 20.0 + (at // 60 * 7 + place) % 97 / 16) for place, probe in enumerate(PROBES))
            readings.add(connection, (Reading(at, probe, value, Quality.GOOD) for probe, value in values))
            if at % 3600 == 0:
                believed = Estimate(at % 7 + 0.1, at % 7 + 0.2, at % 7 + 0.3)
                estimates.add(connection, at, "tray", dict.fromkeys(QUANTITIES, believed))


def file_bytes(connection: sqlite3.Connection) -> int:
    """What the database file holds, free pages too."""
    pages, size = (
        int(connection.execute(f"PRAGMA {name}").fetchone()[0]) for name in ("page_count", "page_size")
    )
    return pages * size


def compact_bytes(connection: sqlite3.Connection, to: Path) -> int:
    """The size of a copy without free pages: what a backup needs."""
    to.unlink(missing_ok=True)
    connection.execute("VACUUM INTO ?", (str(to),))
    return to.stat().st_size


def main() -> None:
    """Write, measure, thin, measure again."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--days", type=int, default=365)
    days = options.parse_args().days
    with tempfile.TemporaryDirectory() as folder, closing(WritingStore(Path(folder), durable=False)) as store:
        copy = Path(folder) / "copy.db"
        began = time.perf_counter()
        for day in range(days):
            write_day(store, BEGAN + day * DAY_S)
        print(f"{days} days written in {time.perf_counter() - began:.0f} s")
        count = int(store.connection.execute("SELECT count(*) FROM reading").fetchone()[0])
        whole = file_bytes(store.connection)
        with_estimates = compact_bytes(store.connection, copy)
        print(f"file {whole / 1e6:.1f} MB, compact {with_estimates / 1e6:.1f} MB")
        with closing(sqlite3.connect(copy, isolation_level=None)) as alone:
            alone.execute("DELETE FROM estimate")
            readings_only = compact_bytes(alone, Path(folder) / "readings.db")
        print(f"{count} readings, {readings_only / count:.1f} bytes each, {readings_only / 1e6:.1f} MB")
        print(f"estimates {(with_estimates - readings_only) / 1e6:.1f} MB")
        longest = 0.0
        while True:
            began = time.perf_counter()
            with store.transaction() as connection:
                if thin_stretch(connection, BEGAN + days * DAY_S) is None:
                    break
            longest = max(longest, time.perf_counter() - began)
        print(f"thinned; the longest stretch took {longest * 1000:.0f} ms")
        page = int(store.connection.execute("PRAGMA page_size").fetchone()[0])
        free = int(store.connection.execute("PRAGMA freelist_count").fetchone()[0]) * page
        print(
            f"file {file_bytes(store.connection) / 1e6:.1f} MB, of it {free / 1e6:.1f} MB free for what comes"
        )
        print(f"compact {compact_bytes(store.connection, copy) / 1e6:.1f} MB")


if __name__ == "__main__":
    main()
