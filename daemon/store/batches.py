"""The batches that the care log tells of, each from its setting to its end."""

import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass, replace

from daemon.store import deeds as deed_store


@dataclass(frozen=True, slots=True)
class BatchSpan:
    """One hatch in a vessel; `id` is the number that its `set` bears in the care log.

    `ended_at` is its end, or when the vessel was set anew (Unix s); None while it runs.
    """

    id: int
    vessel: str
    set_at: int
    ended_at: int | None = None

    def until(self, newest: int) -> int:
        """Its last moment: just before it ended, or the newest reading while it runs."""
        return newest if self.ended_at is None else max(self.set_at, self.ended_at - 1)


def every(connection: sqlite3.Connection, until: int) -> list[BatchSpan]:
    """All batches set up to a moment (Unix s), in the order of their setting."""
    batches: dict[int, BatchSpan] = {}
    running: dict[str, int] = {}
    for entry in deed_store.every(connection):
        deed = entry.deed
        if entry.withdrawn_at is not None or deed.at > until or deed.deed not in ("set", "end"):
            continue
        _end(batches, running, deed.vessel, deed.at)
        if deed.deed == "set":
            batches[entry.id] = BatchSpan(entry.id, deed.vessel, deed.at)
            running[deed.vessel] = entry.id
    return list(batches.values())


def _end(batches: dict[int, BatchSpan], running: dict[str, int], vessel: str, at: int) -> None:
    if (batch_id := running.pop(vessel, None)) is not None:
        batches[batch_id] = replace(batches[batch_id], ended_at=at)


def last_of(connection: sqlite3.Connection, until: int) -> Mapping[str, BatchSpan]:
    """The last batch of each vessel in which one was set, up to a moment (Unix s)."""
    return {batch.vessel: batch for batch in every(connection, until)}
