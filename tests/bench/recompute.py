"""What computing a station anew from its store costs: `python tests/bench/recompute.py`. Nothing is asserted.

Sixty days of a reading a minute from as many vessels as asked, with top-ups on school days and a hatch a
fortnight. Then the time and memory of believing it all anew, the cost of a beat with those beliefs, and a
start by a snapshot: one that was kept at a clean stop, and one that is a day old, as after a power cut.
"""

import argparse
import math
import resource
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from daemon.alarms.watch import Change, Watch
from daemon.care.deed import Deed
from daemon.station import Station
from daemon.store import deeds as deed_store
from daemon.store import readings as reading_store
from daemon.store.file import WritingStore
from daemon.watching.beliefs import Beliefs
from daemon.watching.snapshot import file, past
from daemon.watching.snapshot.snapshots import Snapshots
from daemon.watching.trust_desk import TrustDesk
from sensors.reading import Quality, Reading
from tests.kit.station import probe, station, vessel

DAY_S = 86_400
BEGAN = 1_800_230_400  # a Monday, 00:00 UTC


def cups(count: int) -> Station:
    """A station with so many cups, each with its own thermometer."""
    probes = (probe(f"water-{n}") for n in range(count))
    vessels = (vessel(f"cup-{n}", f"water-{n}", lamp=["18:00-07:00"]) for n in range(count))
    return station(*probes, *vessels, name="Bench", zone="UTC")


def warmth_c(at: int, cup: int) -> float:
    """Water over a day: a lamp at night, a room that cools."""
    hour = at % DAY_S / 3600
    lamp = 4.0 if hour >= 18 or hour < 7 else 0.0
    return round((19.5 + 0.1 * cup + lamp + 1.5 * math.sin((hour - 9) / 24 * 2 * math.pi)) * 16) / 16


def fill(store: WritingStore, vessels: int, days: int, since: int = 0) -> None:
    """Put the record into the store from its day `since` on, a day a transaction."""
    for day in range(since, days):
        with store.transaction() as connection:
            began = BEGAN + day * DAY_S
            for at in range(began, began + DAY_S, 60):
                reading_store.add(
                    connection,
                    [Reading(at, f"water-{n}", warmth_c(at, n), Quality.GOOD) for n in range(vessels)],
                )
            for n in range(vessels):
                if day % 14 == 0:
                    detail: dict[str, float | str] = {"salt_g_per_l": 25.0, "lot": "bench"}
                    deed_store.add(connection, Deed(began + 36_000, f"cup-{n}", "set", 0.05, detail), began)
                elif day % 7 < 5:
                    deed = Deed(began + 54_000, f"cup-{n}", "top-up", 15.0, {"to": "mark"})
                    deed_store.add(connection, deed, began)
                if day % 14 == 1:
                    deed_store.add(connection, Deed(began + 40_000, f"cup-{n}", "first-swimmer"), began)


@dataclass(frozen=True)
class Costs:
    """Processor time of believing a record anew, of a beat and of an hour's asking; the process's peak."""

    anew_s: float
    beat_ms: float
    hour_ms: float
    peak_mb: float
    start: "Starts"


@dataclass(frozen=True)
class Starts:
    """Processor time of a start, beliefs and trust together, up to the first estimates of every vessel.

    Read anew; by a snapshot from a clean stop; by one a day old. `keep_s` is what keeping one costs, and
    `kept_kb` its size; `alike` says whether all three start with the same estimates, to the last digit.
    """

    anew_s: float
    stopped_s: float
    day_old_s: float
    keep_s: float
    kept_kb: float
    alike: bool


def none_taken(_changes: Sequence[Change], _at: int) -> None:
    """For who need not hear."""


class Started:
    """A start as the daemon does it, up to what is said first, and what it cost."""

    def __init__(self, shelf: Station, store: WritingStore, folder: Path, at: int, *, kept: bool) -> None:
        past.program.cache_clear()
        began = time.process_time()
        self.snapshots = Snapshots(folder, shelf)
        found = self.snapshots.found(store.connection, at) if kept else None
        self.beliefs = Beliefs(shelf, store.connection, at, found)
        watch = Watch(shelf)
        self.trust = TrustDesk(shelf, store.connection, self.beliefs, watch, none_taken, at, found)
        self.told = repr([sorted(self.beliefs.estimates(v.id, at).items()) for v in shelf.vessels])
        self.took_s = time.process_time() - began

    def keep(self, store: WritingStore, at: int) -> float:
        """Keep a snapshot; processor time."""
        began = time.process_time()
        self.snapshots.take(store.connection, at, self.beliefs, self.trust)
        return time.process_time() - began


def starts(shelf: Station, days: int) -> Starts:
    """Start three times in the same store: by a day-old snapshot, by a new one, by none."""
    until = BEGAN + days * DAY_S
    with tempfile.TemporaryDirectory() as name:
        folder, vessels = Path(name), len(shelf.vessels)
        store = WritingStore(folder, durable=False)
        fill(store, vessels, days - 1)
        Started(shelf, store, folder, until - DAY_S - 60, kept=False).keep(store, until - DAY_S - 60)
        fill(store, vessels, days, days - 1)
        day_old = Started(shelf, store, folder, until, kept=True)
        keep_s = day_old.keep(store, until)
        stopped = Started(shelf, store, folder, until, kept=True)
        anew = Started(shelf, store, folder, until, kept=False)
        kept_kb = (folder / file.FILE_NAME).stat().st_size / 1000
        store.close()
    alike = anew.told == stopped.told == day_old.told
    return Starts(anew.took_s, stopped.took_s, day_old.took_s, keep_s, kept_kb, alike)


def costs(vessels: int, days: int, beats: int = 600) -> Costs:
    """Fill a store, believe anew, beat, start by a snapshot."""
    shelf = cups(vessels)
    with tempfile.TemporaryDirectory() as folder:
        store = WritingStore(Path(folder), durable=False)
        fill(store, vessels, days)
        until = BEGAN + days * DAY_S
        began = time.process_time()
        beliefs = Beliefs(shelf, store.connection, until)
        anew_s = time.process_time() - began
        began = time.process_time()
        for beat in range(1, beats + 1):
            at = until + 60 * beat
            beliefs.feed([Reading(at, f"water-{n}", warmth_c(at, n), Quality.GOOD) for n in range(vessels)])
        beat_ms = 1e3 * (time.process_time() - began) / beats
        began = time.process_time()
        for vessel in shelf.vessels:
            beliefs.estimates(vessel.id, until + 60 * beats)
        hour_ms = 1e3 * (time.process_time() - began) / vessels
        peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        store.close()
    return Costs(anew_s, beat_ms, hour_ms, peak_mb, starts(shelf, days))


def main() -> None:
    """Print the costs."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--vessels", type=int, default=8)
    asked.add_argument("--days", type=int, default=60)
    told = asked.parse_args()
    found = costs(told.vessels, told.days)
    print(f"{told.vessels} vessels, {told.days} days of a reading a minute, in processor time:")
    print(f"  computed anew in {found.anew_s:.1f} s, {found.peak_mb:.0f} MB at most")
    print(f"  {found.beat_ms:.2f} ms a beat, {found.hour_ms:.1f} ms an hour and vessel for all quantities")
    start = found.start
    print("a start, beliefs and trust, up to the first estimates of every vessel:")
    print(f"  {start.anew_s:.2f} s read anew")
    print(f"  {start.stopped_s:.2f} s from a clean stop, 1 : {start.anew_s / start.stopped_s:.0f}")
    print(
        f"  {start.day_old_s:.2f} s by a snapshot of the day before, 1 : {start.anew_s / start.day_old_s:.0f}"
    )
    print(f"  estimates alike to the last digit: {'yes' if start.alike else 'NO'}")
    print(f"  a snapshot costs {1e3 * start.keep_s:.0f} ms and {start.kept_kb:.0f} kB")


if __name__ == "__main__":
    main()
