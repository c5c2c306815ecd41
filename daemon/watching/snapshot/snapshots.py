"""Takes a station's snapshot, and finds at a start what of it still fits the store."""

import logging
import sqlite3
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from itertools import chain
from pathlib import Path
from typing import Protocol

from daemon.seconds import HOUR_S
from daemon.station import Station
from daemon.store import readings as reading_store
from daemon.watching.snapshot import file
from daemon.watching.snapshot.codec import Unkept
from daemon.watching.snapshot.kept import OLD_HATCHES, TRUST, Kept, KeptPart, of_vessel, tree_of
from daemon.watching.snapshot.past import Past
from daemon.watching.vessel_hours import fed_with

log = logging.getLogger(__name__)

# After a power cut a start catches up with so much at most: a second where a day takes two. A file of eight
# vessels is 1 MB; written oftener it would wear the card as much as all readings do.
EVERY_S = 12 * HOUR_S


class Believer(Protocol):
    """Who holds state that a snapshot is taken of."""

    def parts(self) -> Mapping[str, KeptPart]:
        """Its state as it is now, by name; what must be read anew anyway is left out."""
        ...


class Snapshots:
    """The snapshot of one station, in the folder of its store."""

    def __init__(self, folder: Path, station: Station) -> None:
        """Nothing is read or written yet."""
        self._folder = folder
        self._station = station
        self._taken_at: int | None = None

    def found(self, connection: sqlite3.Connection, now: int) -> Kept | None:
        """What fits the store; None where there is nothing, or nothing whole."""
        lines = file.read(self._folder)
        head = _head(lines)
        if head is None or head[0] > now:
            return None
        at, kept_keys = head
        keys = self._keys(connection, at)
        fitting = {
            name: line
            for (name, key), line in zip(kept_keys.items(), lines[1:], strict=True)
            if key == keys.get(name, "")
        }
        # Old hatches ask for their deeds themselves, and fit a store that has none.
        spared = fitting.keys() - {OLD_HATCHES}
        if spared:
            taken = datetime.fromtimestamp(at, UTC).isoformat()
            log.info("start from a snapshot of %s: %d of %d parts", taken, len(spared), len(keys) - 1)
        return Kept(at, fitting)

    def is_due(self, at: int) -> bool:
        """Whether the last one was taken long enough ago; the first is due some hours after the start."""
        if self._taken_at is None:
            self._taken_at = at
        return not 0 <= at - self._taken_at < EVERY_S

    def take(self, connection: sqlite3.Connection, at: int, *believers: Believer) -> None:
        """Keep what is believed now, when all up to `at` is taken in and nothing later.

        Where it cannot be, there is none: a start is longer then, and nothing else.
        """
        self._taken_at = at
        newest = reading_store.newest_at(connection)
        if newest is not None and newest > at:  # the clock went back: not all up to `at` is all there was
            return
        parts = {name: part for one in believers for name, part in one.parts().items()}
        try:
            keys = self._keys(connection, at)
            head = {"at": at, "keys": {name: keys[name] for name in parts}}
            file.write(self._folder, chain([head], map(tree_of, parts.values())))
        except (OSError, sqlite3.Error, Unkept) as error:
            log.warning("no snapshot was kept: %s", error)

    def _keys(self, connection: sqlite3.Connection, at: int) -> Mapping[str, str]:
        past = Past(self._station, connection, at)
        vessels = {
            of_vessel(vessel.id): past.of_vessel(vessel.id, fed_with(self._station, vessel))
            for vessel in self._station.vessels
        }
        return vessels | {TRUST: past.of_all_readings(), OLD_HATCHES: past.of_starts()}


def _head(lines: Sequence[bytes]) -> tuple[int, dict[str, object]] | None:
    """When it was taken (Unix s), and the key of each part in the order of their lines."""
    try:
        told = file.said(lines[0])
        at, keys = told["at"], told["keys"]
    except (Unkept, TypeError, LookupError):
        return None
    fits = type(at) is int and at > 0 and isinstance(keys, dict) and len(keys) == len(lines) - 1
    return (at, keys) if fits else None
