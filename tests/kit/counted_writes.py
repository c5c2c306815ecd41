"""What processes ask the disk to write, by file: noted by a small library that is preloaded into them."""

import shutil
import subprocess
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from tests.kit.checkout import DATA


def built(folder: Path) -> Path | None:
    """The library, or None where there is no C compiler."""
    compiler = shutil.which("cc")
    if compiler is None:
        return None
    made = folder / "counted_writes.so"
    source = DATA / "counted_writes.c"
    subprocess.run([compiler, "-shared", "-fPIC", "-O1", "-o", made, source, "-ldl"], check=True)
    return made


BLOCK_BYTES = 4096


@dataclass(frozen=True)
class Written:
    """By the kind of file: bytes asked to be written, syncs, and blocks of 4 kB that a sync finds changed."""

    bytes: Counter[str] = field(default_factory=Counter)
    syncs: Counter[str] = field(default_factory=Counter)
    blocks: Counter[str] = field(default_factory=Counter)


class Counted:
    """Counts for the processes that are started with `env`."""

    def __init__(self, library: Path, log: Path, below: Path) -> None:
        """Only files below a folder count."""
        self.env = {"LD_PRELOAD": str(library), "COUNTED_WRITES_LOG": str(log)}
        self._log, self._below, self._place = log, f"{below.resolve()}/", 0
        self._changed: dict[str, set[int]] = {}

    def taken(self) -> Written:
        """What was written since the last call."""
        found = Written()
        if not self._log.exists():
            return found
        with self._log.open("rb") as file:
            file.seek(self._place)
            told = file.read()
        self._place += len(told)
        for line in told.decode().splitlines():
            what, count, where, path = line.split(" ", 3)
            if f"{path}/".startswith(self._below):
                self._take(found, what, int(count), int(where), path)
        return found

    def _take(self, found: Written, what: str, count: int, where: int, path: str) -> None:
        kind, changed = _kind(path.removesuffix(" (deleted)")), self._changed.setdefault(path, set())
        if what == "w":
            found.bytes[kind] += count
            changed.update(range(where // BLOCK_BYTES, (where + count - 1) // BLOCK_BYTES + 1))
        else:
            found.syncs[kind] += 1
            found.blocks[kind] += len(changed)
            changed.clear()


def _kind(path: str) -> str:
    if path.endswith("-wal"):
        return "log"
    if path.endswith("-journal"):
        return "journal"
    if path.endswith(".db"):
        return "database"
    return "charts" if "chart" in path else "other"
