"""Planned starts in the store. One stands until the cysts are set, it is withdrawn, or its lesson is over."""

import sqlite3
from dataclasses import dataclass
from typing import Any

from daemon.planning.kept_start import KeptStart
from daemon.seconds import DAY_S

# A set from so long before the planned time on is the one that was planned.
_EARLY_S = DAY_S
_COLUMNS = (
    "id, at, vessel, lot, set_at, good_from, good_until, lesson_began, lesson_ended, withdrawn_at, swimming"
)


@dataclass(frozen=True, slots=True)
class KeptEntry:
    """A planned start as it stands in the store: `at` and `withdrawn_at` are when it was kept and taken back,
    Unix seconds."""

    id: int
    at: int
    start: KeptStart
    withdrawn_at: int | None


def add(connection: sqlite3.Connection, start: KeptStart, at: int) -> int:
    """Keep a plan; its id."""
    cursor = connection.execute(
        "INSERT INTO planned_start "
        "(at, vessel, lot, set_at, good_from, good_until, lesson_began, lesson_ended, swimming) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (at, start.vessel, start.lot, start.set_at, *start.good, *start.lesson, int(start.swimming)),
    )
    return int(cursor.lastrowid or 0)


def withdraw(connection: sqlite3.Connection, number: int, at: int) -> bool:
    """Take a plan back; False where none of that number stands."""
    found = connection.execute(
        "UPDATE planned_start SET withdrawn_at = ? WHERE id = ? AND withdrawn_at IS NULL", (at, number)
    )
    return found.rowcount > 0


def standing(connection: sqlite3.Connection, at: int) -> list[KeptEntry]:
    """The plans that still wait to be carried out at `at` (Unix s), by their set time."""
    rows = connection.execute(
        f"SELECT {_COLUMNS} FROM planned_start AS plan WHERE withdrawn_at IS NULL AND lesson_ended > ? "
        "AND NOT EXISTS (SELECT 1 FROM deed WHERE deed.vessel = plan.vessel AND deed.deed = 'set' "
        "AND deed.withdrawn_at IS NULL AND deed.at <= ? AND deed.at >= max(plan.at, plan.set_at - ?)) "
        "ORDER BY set_at, id",
        (at, at, _EARLY_S),
    )
    return [_entry(row) for row in rows]


def carried_out(connection: sqlite3.Connection, vessel: str, set_at: int) -> KeptStart | None:
    """The plan that the setting of a vessel at `set_at` (Unix s) carried out; None where none was kept."""
    row = connection.execute(
        f"SELECT {_COLUMNS} FROM planned_start WHERE withdrawn_at IS NULL AND vessel = ? "
        "AND max(at, set_at - ?) <= ? AND lesson_ended > ? ORDER BY abs(set_at - ?), id DESC LIMIT 1",
        (vessel, _EARLY_S, set_at, set_at, set_at),
    ).fetchone()
    return None if row is None else _entry(row).start


def over(connection: sqlite3.Connection, at: int) -> list[KeptStart]:
    """Of each vessel the plan that nobody took back whose lesson was the last to be over at `at` (Unix s)."""
    rows = connection.execute(
        f"SELECT {_COLUMNS} FROM planned_start WHERE withdrawn_at IS NULL AND lesson_ended <= ? "
        "ORDER BY lesson_began DESC, id DESC",
        (at,),
    )
    found: dict[str, KeptStart] = {}
    for start in (_entry(row).start for row in rows):
        found.setdefault(start.vessel, start)
    return list(found.values())


def _entry(row: tuple[Any, ...]) -> KeptEntry:
    number, at, vessel, lot, set_at, good_from, good_until, began, ended, withdrawn_at, swimming = row
    start = KeptStart(vessel, lot, set_at, (good_from, good_until), (began, ended), bool(swimming))
    return KeptEntry(number, at, start, withdrawn_at)
