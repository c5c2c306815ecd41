"""How a class's vessels stand at its end, for the steps that lead through it."""

import sqlite3
from collections.abc import Sequence

from daemon.letters.conversions import local, setting
from daemon.station import Station, Vessel
from daemon.store import batches as batch_store
from daemon.store import shelved_alarms as shelf_store
from reports.batch.steps import EndStep, VesselEnd, steps


def class_end(
    station: Station,
    connection: sqlite3.Connection,
    vessels: Sequence[Vessel],
    now: int,
    to_wipe: tuple[str, ...],
    state: str = "",
) -> tuple[EndStep, ...]:
    """The steps as they stand at `now` (Unix s), for some of the vessels.

    `to_wipe` says what a wipe would do; `state` is the folder that commands name, "" for the usual.
    """
    last = batch_store.last_of(connection, now)
    ends = [
        VesselEnd(
            vessel.id,
            ever=vessel.id in last,
            runs=vessel.id in last and last[vessel.id].ended_at is None,
            always=vessel.watch == "always",
        )
        for vessel in vessels
    ]
    quiet = shelf_store.quiet_until(connection, now)
    place = setting(station, connection, now)
    return steps(place, ends, None if quiet is None else local(station, quiet), to_wipe, state)
