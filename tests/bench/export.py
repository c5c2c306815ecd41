"""How light an export is: `python -m tests.bench.export`.

Stations of some vessels are written for some days, a reading a minute of each and hourly estimates, and
exported by a process of its own. Its largest memory and its time are printed; the longest stretch should need
no more memory than the shortest. Nothing is asserted: figures of one machine are no promise about another.
"""

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from daemon.export.units import QUANTITIES
from daemon.store import deeds, estimates, readings, runs
from daemon.store.file import WritingStore
from sensors.reading import Quality, Reading
from tests.kit.command_line import surroundings
from tests.kit.station import probe, station_text, vessel

DAY_S = 86_400
CHILD = """
import sys, time
from daemon.cli import main
try:
    main()
finally:
    told = next(line for line in open("/proc/self/status") if line.startswith("VmHWM"))
    print(told.split()[1], time.process_time(), file=sys.stderr)
"""


def write(folder: Path, vessels: int, days: int) -> None:
    """A store of so many vessels, each with a thermometer, and days."""
    names = [f"cup-{number}" for number in range(vessels)]
    text = station_text(
        *(probe(f"{one}-water") for one in names), *(vessel(one, f"{one}-water") for one in names)
    )
    store = WritingStore(folder, durable=False)
    first = (int(time.time()) // DAY_S - days) * DAY_S
    for day in range(days):
        with store.transaction() as connection:
            if day == 0:
                runs.keep_station_file(connection, first, text)
                for one in names:
                    deeds.add(connection, Deed(first, one, "set", 0.05, {"salt_g_per_l": 25.0}), first)
            for at in range(first + day * DAY_S, first + (day + 1) * DAY_S, 60):
                value = 20.0 + at // 60 * 7 % 97 / 16
                readings.add(connection, (Reading(at, f"{one}-water", value, Quality.GOOD) for one in names))
                if at % 3600 == 0:
                    believed = Estimate(at + 0.123456789, at + 3600.25, at + 7200.5)
                    for one in names:
                        estimates.add(connection, at, one, dict.fromkeys(QUANTITIES, believed))
    store.close()


def measured(state: Path, *words: str) -> tuple[float, float]:
    """MiB at most, and CPU seconds, of `naupliad export`: the kernel's own word, without who started it."""
    told = subprocess.run(
        [sys.executable, "-c", CHILD, "export", "--state", str(state), *words],
        env=surroundings(),
        capture_output=True,
        text=True,
        check=True,
    )
    kib, cpu_s = told.stderr.split()
    return int(kib) / 1024, float(cpu_s)


def main() -> None:
    """Write, export, print."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--vessels", type=int, default=8)
    options.add_argument("--days", type=int, nargs="+", default=[1, 10, 60])
    chosen = options.parse_args()
    print("days  what        MiB at most  CPU s      bytes")
    for days in chosen.days:
        with tempfile.TemporaryDirectory() as place:
            state = Path(place) / "state"
            state.mkdir()
            write(state, chosen.vessels, days)
            for option, name in (("--out", "out"), ("--zip", "a.zip"), ("--calendar", "a.ics")):
                mib, cpu_s = measured(state, option, str(Path(place) / name))
                made = Path(place) / name
                size = sum(one.stat().st_size for one in ([made] if made.is_file() else made.iterdir()))
                print(f"{days:4}  {option:<10}  {mib:11.1f}  {cpu_s:5.1f}  {size:9}")


if __name__ == "__main__":
    main()
