"""What a snapshot was made of, in few digits: where any of it is another, so are they.

Of readings only the last weeks are counted again, by probe and quality: how many, the sum of their times and
of their values. Trust changes its mind of no older ones, and a clock put right leaves its trace in the starts
of the machine.
"""

import sqlite3
import sys
from collections.abc import Iterable
from functools import cache
from hashlib import sha256
from pathlib import Path

import sensors
from daemon import care, estimates, hours, science, watching
from daemon.seconds import DAY_S
from daemon.station import Station
from daemon.store import boots as boot_store
from daemon.store import deeds as deed_store
from daemon.store import readings as reading_store

_EVER = 2**40
_LOOKED_BACK_S = 40 * DAY_S  # further than trust is judged anew (`trust_desk`)


@cache
def program() -> str:
    """The program that makes beliefs and judges readings, and the Python it runs on, in few digits."""
    folders = [
        Path(package.__file__ or "").parent for package in (care, estimates, science, watching, sensors)
    ]
    files = [path for folder in folders for path in sorted(folder.rglob("*.py"))]
    files += sorted(Path(hours.__file__).parent.glob("*.py"))
    return _few(sys.version, sys.byteorder, *files)


class Past:
    """A store's readings and deeds up to a moment (Unix s)."""

    def __init__(self, station: Station, connection: sqlite3.Connection, until: int) -> None:
        """Count what there is now."""
        moved = [(b.id, b.began, b.moved_s) for b in boot_store.put_right_between(connection, 0, _EVER)]
        self._common = _few(program(), repr(station), until, sorted(moved))
        self._sums = reading_store.sums(connection, until - _LOOKED_BACK_S, until)
        self._deeds = deed_store.between(connection, 0, until)

    def of_starts(self) -> str:
        """What is the same for every part: the program, the station, which starts were put right."""
        return self._common

    def of_vessel(self, vessel_id: str, probes: Iterable[str]) -> str:
        """What a vessel's belief was made of, which is fed by these probes."""
        good = [self._sums.get((probe, "good")) for probe in sorted(probes)]
        deeds = [deed for deed in self._deeds if deed.vessel == vessel_id]
        return _few(self._common, vessel_id, good, deeds)

    def of_all_readings(self) -> str:
        """What trust in the probes was made of."""
        return _few(self._common, sorted(self._sums.items()))


def _few(*things: object) -> str:
    digest = sha256()
    for thing in things:
        said = thing.read_bytes() if isinstance(thing, Path) else repr(thing).encode()
        digest.update(b"%d:" % len(said) + said)
    return digest.hexdigest()
