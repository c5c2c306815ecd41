"""What `naupliad lot test --keep` says once a test is kept: its number, and what all counts say together."""

from collections.abc import Mapping
from contextlib import closing
from pathlib import Path
from typing import Any

from daemon.letters.conversions import setting
from daemon.page.tins import tin_record
from daemon.store.tins import every
from daemon.stored_station import moment_of, open_station
from reports.page.tins import listed


def lines_of_kept(state: Path, lot: str, answered: Mapping[str, Any]) -> list[str]:
    """`answered` is the daemon's answer."""
    number, like = answered["id"], answered.get("like")
    return [
        *_of_all_counts(state, lot),
        *([] if like is None else [f"Test {like} says the same: is this a second dish? Else take it back."]),
        f"Kept as test {number} of {lot}. To take it back:",
        f"naupliad lot withdraw {number}",
    ]


def _of_all_counts(state: Path, lot: str) -> list[str]:
    station, connection = open_station(state)
    with closing(connection):
        now = moment_of(state, connection)
        tins = [tin_record(station, one) for one in every(connection, station, now) if one.plan.id == lot]
        place = setting(station, None, now)
    return [line for one in tins for line in listed.taken_together(place, one)]
