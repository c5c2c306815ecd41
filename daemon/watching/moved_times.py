"""All that a wrong clock had stamped gets other times, and what is named by such times other names."""

import logging
import re
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from daemon.hours import next_local_time
from daemon.seconds import HOUR_S
from daemon.station import Station
from daemon.store import deeds as deed_store
from daemon.store import done_and_said
from daemon.store import letters as letter_store
from daemon.store.time_correction import correct_times, is_done_now

log = logging.getLogger(__name__)

EVER = 2**40
_SAME_S = 6 * HOUR_S  # a night, an absence: meant by both times where they are no further apart
_NUMBER = re.compile(r"\b\d{6,}\b")


@dataclass(frozen=True, slots=True)
class Moved:
    """What got other times: how many readings, which letters wait, and whether one went out."""

    readings: int
    held: tuple[int, ...]
    told: bool


def move_all(station: Station, connection: sqlite3.Connection, began: int, step_s: int, at: int) -> Moved:
    """Give all that was stamped from `began` on times that are `step_s` later; `at` is now, when right."""
    written = letter_store.between(connection, began - 1, EVER)
    told = bool(letter_store.sent_between(connection, began - 1, EVER))
    held = tuple(row.id for row in letter_store.in_state(connection, "held") if row.at >= began)
    _mend_ledger(connection, began, step_s)
    readings = correct_times(connection, began, EVER, step_s)
    _claim_nights(station, connection, [row.at + step_s for row in written if row.kind == "nightly"], at)
    log.warning("%d readings since %d got times that are %d s later", readings, began + step_s, step_s)
    return Moved(readings, held, told)


def _mend_ledger(connection: sqlite3.Connection, began: int, step_s: int) -> None:
    """Slots that were named by wrong times name the right ones, or are free again."""
    as_done = {
        entry.deed.at
        for entry in deed_store.every(connection)
        if entry.recorded_at >= began and is_done_now(entry.deed.at, entry.recorded_at, began)
    }
    for job, slot in done_and_said.jobs_since(connection, began):
        if job in ("estimates", "nightly"):
            done_and_said.release_job(connection, job, slot)
    for what, about in done_and_said.said_since(connection, began):
        if what in ("leave", "return"):
            if abs(step_s) > _SAME_S:
                done_and_said.unsay(connection, what, about)
                _drop_held(connection, what, began)
        else:
            by_deed = what in ("hatch", "harvest")

            def right(found: re.Match[str], by_deed: bool = by_deed) -> str:
                moment = int(found[0])
                moves = moment in as_done if by_deed else moment >= began
                return str(moment + step_s) if moves else found[0]

            done_and_said.rename_said(connection, what, about, _NUMBER.sub(right, about))


def _drop_held(connection: sqlite3.Connection, kind: str, began: int) -> None:
    for row in letter_store.in_state(connection, "held"):
        if row.kind == kind and row.at >= began:
            letter_store.merge(connection, row.id)


def _claim_nights(station: Station, connection: sqlite3.Connection, written: Sequence[int], at: int) -> None:
    """A night of which a letter went by a wrong clock needs no other, if it was about that night."""
    for moment in written:
        due = next_local_time(station.post.nightly_at, moment - _SAME_S, station.timezone)
        if due <= moment + _SAME_S:
            done_and_said.begin_job(connection, "nightly", done_and_said.slot_of(due), at)
