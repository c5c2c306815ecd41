"""Takes a station's snapshot, and finds at a start what of it still fits the store."""

import logging
import sqlite3
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Protocol

from daemon.seconds import HOUR_S
from daemon.station import Station
from daemon.store import readings as reading_store
from daemon.watching.snapshot import file
from daemon.watching.snapshot.codec import Tree, Unkept
from daemon.watching.snapshot.kept import OLD_HATCHES, TRUST, Kept, KeptPart, of_vessel, trees
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
        said = file.read(self._folder)
        if not isinstance(said, dict) or not isinstance(said.get("parts"), dict):
            return None
        at = said.get("at")
        if type(at) is not int or not 0 < at <= now:
            return None
        keys = self._keys(connection, at)
        fitting = {
            name: part["tree"]
            for name, part in said["parts"].items()
            if isinstance(part, dict) and "tree" in part and part.get("key") == keys.get(name, "")
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
        try:
            parts = trees({name: part for one in believers for name, part in one.parts().items()})
            file.write(self._folder, {"at": at, "parts": self._with_keys(connection, at, parts)})
        except (OSError, sqlite3.Error, Unkept) as error:
            log.warning("no snapshot was kept: %s", error)

    def _with_keys(
        self, connection: sqlite3.Connection, at: int, parts: Mapping[str, Tree]
    ) -> dict[str, dict[str, Tree]]:
        keys = self._keys(connection, at)
        return {name: {"key": keys[name], "tree": tree} for name, tree in parts.items()}

    def _keys(self, connection: sqlite3.Connection, at: int) -> Mapping[str, str]:
        past = Past(self._station, connection, at)
        vessels = {
            of_vessel(vessel.id): past.of_vessel(vessel.id, fed_with(self._station, vessel))
            for vessel in self._station.vessels
        }
        return vessels | {TRUST: past.of_all_readings(), OLD_HATCHES: past.of_starts()}
