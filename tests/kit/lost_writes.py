"""A disk that forgets: of what was not synced when the power went, any part is there afterwards, or nothing.

Covers the bytes of the store's files, in sectors of 512 bytes. Not covered: entries of the folder itself
(a file made or deleted is taken to stay so).
"""

import shutil
import struct
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random

from tests.kit.checkout import DATA

SECTOR = 512
_LIED_ABOUT = 400  # writes and syncs at the end of a life that a lying card may have dropped
_HEAD = struct.Struct("=cHqq")


def built_shim(folder: Path) -> Path | None:
    """The library that notes writes and syncs, or None where there is no C compiler."""
    compiler = shutil.which("cc")
    if compiler is None:
        return None
    made = folder / "lost_writes.so"
    source = DATA / "lost_writes.c"
    subprocess.run([compiler, "-shared", "-fPIC", "-O1", "-o", made, source, "-ldl"], check=True)
    return made


@dataclass(frozen=True, slots=True)
class Record:
    """What was done to a file: w written, t cut to a size, s synced, u deleted."""

    kind: str
    path: str
    where: int
    data: bytes


def records(log: Path) -> Iterator[Record]:
    """What was noted, in order; a last note that the kill cut short was of something not done yet."""
    told = log.read_bytes() if log.exists() else b""
    place = 0
    while place + _HEAD.size <= len(told):
        kind, path_length, where, length = _HEAD.unpack_from(told, place)
        place += _HEAD.size
        path, data = told[place : place + path_length], told[place + path_length :][:length]
        place += path_length + length
        if place <= len(told):
            yield Record(kind.decode(), path.decode(), where, data)


class Disk:
    """The store's files as they stand on the disk for certain, and what is only on its way there."""

    def __init__(self, state: Path) -> None:
        """What stands in `state` now is on the disk."""
        self._state = state
        self._sure = {path.name: bytearray(path.read_bytes()) for path in _files(state)}
        self._under_way: dict[str, list[Record]] = {}

    def cut_power(self, log: Path, chance: Random, *, lying: bool = False) -> int:
        """Put the files as the cut may leave them; how many writes were lost, whole or in part.

        `lying`: from some moment on the card said that it had synced, and had not.
        """
        noted = list(records(log))
        lies_from = (
            chance.randrange(max(0, len(noted) - _LIED_ABOUT), len(noted) + 1) if lying else len(noted)
        )
        for place, record in enumerate(noted):
            name = Path(record.path).name
            if record.kind == "s":
                if place >= lies_from:
                    continue
                for done in self._under_way.pop(name, []):
                    self._do(name, done)
            elif record.kind == "u":
                self._sure.pop(name, None)
                self._under_way.pop(name, None)
            else:
                self._under_way.setdefault(name, []).append(record)
        lost = sum(self._lose(name, under_way, chance) for name, under_way in self._under_way.items())
        for path in [*_files(self._state), self._state / "station.db-shm"]:
            path.unlink(missing_ok=True)
        for name, content in self._sure.items():
            (self._state / name).write_bytes(content)
        return lost

    def _lose(self, name: str, under_way: list[Record], chance: Random) -> int:
        share = chance.choice((0.0, 0.5, 0.9))
        lost = 0
        for record in under_way:
            kept = [part for part in _sectors(record) if chance.random() < share]
            lost += len(kept) < len(list(_sectors(record)))
            for part in kept:
                self._do(name, part)
        return lost

    def _do(self, name: str, record: Record) -> None:
        content = self._sure.setdefault(name, bytearray())
        if record.kind == "t":
            del content[record.where :]
            return
        content.extend(bytes(max(0, record.where + len(record.data) - len(content))))
        content[record.where : record.where + len(record.data)] = record.data


def _sectors(record: Record) -> Iterator[Record]:
    if record.kind == "t":
        yield record
    for begins in range(0, len(record.data), SECTOR):
        yield Record("w", record.path, record.where + begins, record.data[begins : begins + SECTOR])


def _files(state: Path) -> list[Path]:
    names = ("station.db", "station.db-wal", "station.db-journal")
    return [state / name for name in names if (state / name).exists()]
