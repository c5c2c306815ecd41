"""What came, into the database: one transaction for all that waits."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import psycopg
from psycopg import Connection

from daemon.errors import InputError, NaupliadError
from daemon.gathering.arrivals import Arrival
from daemon.gathering.database import MONTHS_AHEAD, check_prepared, in_a_line
from daemon.record import topics
from daemon.record.box import Box, as_json, unpacked

Connect = Callable[[], "Connection[tuple[object, ...]]"]


class DatabaseAway(NaupliadError):
    """The database cannot be written to now; in one line. Nothing is kept, and all may be tried again."""


@dataclass(frozen=True)
class KeptBoxes:
    """What a transaction kept: the numbers by station's key, and how many boxes were refused."""

    numbers: dict[str, list[int]]
    refused: int


@dataclass(frozen=True, slots=True)
class _Read:
    key: str
    box: Box


@dataclass(frozen=True, slots=True)
class _Unreadable:
    key: str
    reason: str
    payload: bytes


class BoxKeeping:
    """Writes to the database, over a line of its own that is made anew when it broke."""

    def __init__(self, connect: Connect) -> None:
        """`connect` makes a line; it raises psycopg.Error where it cannot."""
        self._connect = connect
        self._line: Connection[tuple[object, ...]] | None = None

    def check(self) -> None:
        """See that the database is there and prepared. Raises DatabaseAway, InputError."""
        try:
            check_prepared(self._open())
        except psycopg.Error as error:
            raise self._away(error) from error

    def make_months(self) -> None:
        """Have the partitions of the months to come made. Raises DatabaseAway."""
        try:
            self._open().execute("SELECT make_months(%s)", (MONTHS_AHEAD,))
        except psycopg.Error as error:
            raise self._away(error) from error

    def keep(self, arrivals: Sequence[Arrival]) -> KeptBoxes:
        """Store all, or raise DatabaseAway: then nothing is.

        What cannot be stored is set aside with the reason, and counts as kept.
        """
        read = [_read(arrival) for arrival in arrivals]
        good = [one for one in read if isinstance(one, _Read)]
        bad = [one for one in read if isinstance(one, _Unreadable)]
        try:
            line = self._open()
            with line.transaction():
                # First, and in order, as `take` meets new stations: two gatherers never wait for each other.
                for one in sorted(bad, key=lambda unreadable: unreadable.key):
                    line.execute("SELECT refuse(%s, %s, %s, NULL)", (one.key, one.reason, one.payload))
                refused = len(bad) + _take(line, good)
        except psycopg.Error as error:
            raise self._away(error) from error
        numbers: dict[str, list[int]] = {}
        for told in good:
            numbers.setdefault(told.key, []).append(told.box.n)
        return KeptBoxes(numbers, refused)

    def close(self) -> None:
        """End the line."""
        if self._line is not None:
            self._line.close()
        self._line = None

    def _open(self) -> "Connection[tuple[object, ...]]":
        if self._line is None or self._line.closed:
            self._line = self._connect()
        return self._line

    def _away(self, error: psycopg.Error) -> DatabaseAway:
        self.close()
        return DatabaseAway(f"the database: {in_a_line(error)}")


def _take(line: "Connection[tuple[object, ...]]", good: Sequence[_Read]) -> int:
    """How many of the boxes were refused."""
    if not good:
        return 0
    keys = [one.key for one in good]
    boxes = [as_json(one.box) for one in good]
    row = line.execute("SELECT take(%s::text[], %s::jsonb[])", (keys, boxes)).fetchone()
    return int(str(row[0])) if row else 0


def _read(arrival: Arrival) -> _Read | _Unreadable:
    key = topics.key_of_box(arrival.topic)
    if key is None:
        return _Unreadable(ascii(arrival.topic), "found no key of a station in the topic", arrival.payload)
    try:
        return _Read(key, unpacked(arrival.payload))
    except InputError as error:
        return _Unreadable(key, str(error), arrival.payload)
