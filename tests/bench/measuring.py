"""What the kernel says of a process, and of this machine; and a table of it."""

import os
import platform
import sqlite3
import statistics
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from tests.kit.checkout import ROOT

MIB = 2**20


def compile_all() -> None:
    """Compiled modules, as pip leaves them: without, each start compiles, which costs time and memory."""
    folders = [str(ROOT / name) for name in ("daemon", "sensors", "reports", "tests")]
    subprocess.run([sys.executable, "-m", "compileall", "-q", *folders], check=True)


@dataclass(frozen=True)
class Memory:
    """MiB. `resident` counts pages shared with others whole, `proportional` their share, `own` none."""

    resident: float
    proportional: float
    own: float


def memory(pid: int) -> Memory:
    found = _fields(Path(f"/proc/{pid}/smaps_rollup"))
    return Memory(*(found[name] * 1024 / MIB for name in ("Rss", "Pss", "Private_Dirty")))


def cpu_s(pid: int) -> tuple[float, float]:
    """Processor time of a process, and of its children that have ended."""
    told = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    own, children = int(told[11]) + int(told[12]), int(told[13]) + int(told[14])
    tick = os.sysconf("SC_CLK_TCK")
    return own / tick, children / tick


def ran_s(pid: int) -> float:
    """Processor time of a process, its ended threads with it, to the nanosecond.

    By its clock (clock_getcpuclockid(3)): a sum over its threads misses those that end meanwhile.
    """
    return time.clock_gettime(~pid << 3 | 2)


def dirtied_bytes(pid: int) -> int:
    """Pages of files that the process made the kernel write, mapped ones too (proc_pid_io(5))."""
    return _fields(Path(f"/proc/{pid}/io"))["write_bytes"]


def handles(pid: int) -> int:
    return sum(1 for _ in Path(f"/proc/{pid}/fd").iterdir())


def threads(pid: int) -> int:
    return sum(1 for _ in Path(f"/proc/{pid}/task").iterdir())


def loaded(pid: int, library: str) -> bool:
    """Whether a library is mapped, by a part of its path."""
    return library in Path(f"/proc/{pid}/maps").read_text()


def spread(seconds: Sequence[float]) -> str:
    """Middle, 99 of 100, and worst, in ms."""
    cuts = statistics.quantiles(seconds, n=100, method="inclusive")
    return f"{1e3 * cuts[49]:.1f} / {1e3 * cuts[98]:.1f} / {1e3 * max(seconds):.0f} ms"


def machine() -> str:
    told = Path("/proc/cpuinfo").read_text()
    models = [line.partition(":")[2].strip() for line in told.splitlines() if line.startswith("model name")]
    return (
        f"{datetime.now(UTC):%Y-%m-%d}, {platform.machine()}, {models[0] if models else 'no model told'}, "
        f"{os.cpu_count()} cores, Linux {platform.release()}, Python {platform.python_version()}, "
        f"SQLite {sqlite3.sqlite_version}"
    )


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Columns as wide as their widest cell."""
    lines = [head, *rows]
    widths = [max(len(line[place]) for line in lines) for place in range(len(head))]
    text = ["  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)) for line in lines]
    text.insert(1, "  ".join("-" * width for width in widths))
    return "\n".join(line.rstrip() for line in text)


def _fields(path: Path) -> dict[str, int]:
    """The numbers of a file of `name: number unit` lines."""
    pairs = (line.partition(":") for line in path.read_text().splitlines())
    return {
        name: int(number.split()[0]) for name, _, number in pairs if number and number.split()[0].isdigit()
    }
