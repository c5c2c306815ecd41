"""How long a weekend takes to replay, and how much memory: `python tests/bench/replay.py`.

A 72-hour tape of one vessel at one reading a minute (water, light, room air, humidity), recorded from the
simulated room of the plain weekend, goes through the real `naupliad replay` in a process of its own.
Nothing is asserted: figures of one machine are no promise about another.
"""

import csv
import os
import resource
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

from daemon.care.log import format_detail
from daemon.play.story_file import read_story
from daemon.play.story_world import StoryWorld

HOURS = 72


def record(folder: Path) -> None:
    """Write tape, care log and station file of the first 72 hours of the plain weekend."""
    story = read_story("plain-weekend")
    world = StoryWorld(story)
    ended = min(story.begins + HOURS * 3600, story.ends)
    deeds = []
    with (folder / "tape.csv").open("w", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(["time", "probe", "value", "fault"])
        for at in range(story.begins, ended + 1, 60):
            deeds += world.deeds(at, [])
            for reading in world.bench().sample(at):
                fault = "" if reading.good else reading.quality.value
                rows.writerow([when(at), reading.probe, "" if fault else reading.value, fault])
    with (folder / "care.csv").open("w", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(["time", "vessel", "deed", "amount", "unit", "detail"])
        for deed in deeds:
            amount = "" if deed.amount is None else deed.amount
            rows.writerow([when(deed.at), deed.vessel, deed.deed, amount, deed.unit, format_detail(deed)])
    (folder / "station.toml").write_text(story.station_text, encoding="utf-8")


def when(at: int) -> str:
    """RFC 3339, UTC."""
    return datetime.fromtimestamp(at, UTC).isoformat()


def replay(folder: Path) -> tuple[float, float, float]:
    """(wall seconds, CPU seconds with the drawing children, peak memory of the replay alone in MiB)."""
    code = (
        "import sys; from daemon.cli import main\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        # Not ru_maxrss, which begins with the size of the process that starts this one.
        "told = next(line for line in open('/proc/self/status') if line.startswith('VmHWM'))\n"
        "print(told.split()[1], file=sys.stderr)"
    )
    arguments = [
        "replay",
        "tape.csv",
        "--care",
        "care.csv",
        "--config",
        "station.toml",
        "--out",
        "out",
        "--replace",
    ]
    root = Path(__file__).resolve().parents[2]
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic()
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(root)},
        capture_output=True,
        text=True,
        check=True,
    )
    wall_s, after = time.monotonic() - began, resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return wall_s, cpu_s, int(done.stderr.split()[-1]) / 1024


def main() -> None:
    """Record once, replay three times, print."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        record(folder)
        print(f"replay of {HOURS} h, one vessel, 4 probes, one reading a minute each:")
        for _ in range(3):
            wall_s, cpu_s, peak_mib = replay(folder)
            print(f"  {wall_s:6.2f} s wall {cpu_s:6.2f} s CPU {peak_mib:6.1f} MiB without the charts' child")


if __name__ == "__main__":
    main()
