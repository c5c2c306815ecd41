"""The machine's starts in the store: when each began, and whether the clock was known to be right."""

import sqlite3
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Boot:
    """A start of the machine, as the station's time had it, Unix seconds.

    `ahead_s` is the station's time minus the monotonic clock's. `trusted` says whether it was given without
    doubt; `sure_at` is when it was known to be right (None: not yet). All that was written since `began`
    was moved by `moved_s` altogether, last at `moved_at`, and with it `restamped` readings.

    Where a clock that was right is set, that stretch of a start has a row of its own: `began` is when it was
    set, `ahead_s` what it had been before, and `moved_at` when it was set back.
    """

    id: str
    began: int
    ahead_s: float
    trusted: bool
    sure_at: int | None = None
    moved_s: int = 0
    moved_at: int | None = None
    restamped: int = 0

    @property
    def is_sure(self) -> bool:
        """Whether the times of this start may be given without a word of doubt."""
        return self.trusted or self.sure_at is not None


_SET = ", set "
_COLUMNS = "id, began, ahead_s, trusted, sure_at, moved_s, moved_at, restamped"


def keep(connection: sqlite3.Connection, boot: Boot) -> None:
    """Keep a start as it stands now."""
    values = (boot.id, boot.began, boot.ahead_s, int(boot.trusted), boot.sure_at, boot.moved_s)
    updates = ", ".join(f"{name} = excluded.{name}" for name in _COLUMNS.split(", ")[1:])
    connection.execute(
        f"INSERT INTO boot ({_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?) "
        f"ON CONFLICT (id) DO UPDATE SET {updates}",
        (*values, boot.moved_at, boot.restamped),
    )


def of(connection: sqlite3.Connection, boot_id: str) -> Boot | None:
    """The start of that name."""
    return next(iter(_rows(connection, "WHERE id = ?", boot_id)), None)


def add_set(connection: sqlite3.Connection, start: Boot, at: int, step_s: int) -> None:
    """Keep that the clock of a start was set by `step_s` at `at`, by its new time, though it was right."""
    keep(connection, Boot(f"{start.id}{_SET}{at} by {step_s}", at, start.ahead_s, start.trusted, at))


def still_set(connection: sqlite3.Connection, start: Boot) -> list[Boot]:
    """The stretches of a start from which the clock was not set back, in their order."""
    where = "WHERE substr(id, 1, ?) = ? AND moved_at IS NULL ORDER BY rowid"
    begins = f"{start.id}{_SET}"
    return _rows(connection, where, len(begins), begins)


def latest(connection: sqlite3.Connection) -> Boot | None:
    """The newest start, or its newest stretch that was put right; None in a store older than these rows."""
    where = "WHERE moved_s <> 0 OR instr(id, ?) = 0 ORDER BY rowid DESC LIMIT 1"
    return next(iter(_rows(connection, where, _SET)), None)


def others(connection: sqlite3.Connection, but: str) -> list[Boot]:
    """All starts but one, in the order in which they came, the newest first."""
    return _rows(connection, "WHERE id <> ? ORDER BY rowid DESC", but)


def is_sure_now(connection: sqlite3.Connection) -> bool:
    """Whether the station's time may be given now without a word of doubt."""
    boot = latest(connection)
    return boot is None or boot.is_sure


def sure_between(connection: sqlite3.Connection, began: int, ended: int) -> bool:
    """Whether all times from one moment to another may be given without a word of doubt."""
    until = None
    for boot in _rows(connection, "WHERE began <= ? ORDER BY rowid DESC", ended):
        if until is not None and until <= began:
            break
        if not boot.is_sure:
            return False
        until = boot.began
    return True


def put_right_between(connection: sqlite3.Connection, after: int, until: int) -> list[Boot]:
    """Starts whose times were put right with after < moved_at <= until."""
    return _rows(connection, "WHERE moved_s <> 0 AND moved_at > ? AND moved_at <= ?", after, until)


def _rows(connection: sqlite3.Connection, where: str, *values: int | str) -> list[Boot]:
    rows = connection.execute(f"SELECT {_COLUMNS} FROM boot {where}", values)
    return [Boot(row[0], row[1], row[2], bool(row[3]), *row[4:]) for row in rows]
