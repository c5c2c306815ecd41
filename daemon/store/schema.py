"""The tables of station.db, as ordered migrations: each is applied whole or not at all."""

import sqlite3
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # loaded only where there is something to do: 4 MB that a daemon would carry for years
    from sqlite_utils import Database, Migrations

_SET = "naupliad"


def migrate(connection: sqlite3.Connection) -> None:
    """Bring a store up to the newest schema; a migration that fails leaves the store as it was."""
    if not is_current(connection):
        database, migrations = prepared(connection)
        migrations.apply(database)


def is_current(connection: sqlite3.Connection) -> bool:
    """Whether a store has the newest schema."""
    return set(_STEPS) <= _applied(connection)


def newer_step(connection: sqlite3.Connection) -> str | None:
    """The newest migration of a store that this program does not know; None where it knows them all."""
    return max(_applied(connection) - set(_STEPS), default=None)


def prepared(connection: sqlite3.Connection) -> "tuple[Database, Migrations]":
    """The store as sqlite-utils sees it, and what it applies."""
    _import_without_numpy()
    from sqlite_utils import Database, Migrations

    migrations = Migrations(_SET)
    for name, step in _STEPS.items():
        migrations(name=name)(_on_database(step))
    return Database(connection), migrations


def _on_database(step: Callable[[sqlite3.Connection], None]) -> "Callable[[Database], None]":
    return lambda database: step(database.conn)


def _applied(connection: sqlite3.Connection) -> set[str]:
    """The migrations that sqlite-utils has noted in the store."""
    if not connection.execute("SELECT 1 FROM sqlite_master WHERE name = '_sqlite_migrations'").fetchone():
        return set()
    rows = connection.execute("SELECT name FROM _sqlite_migrations WHERE migration_set = ?", (_SET,))
    return {name for (name,) in rows}


def _import_without_numpy() -> None:
    """Import sqlite-utils without the numpy it would take if it found one: 12 MB on a 512 MB Pi."""
    from daemon.bare_import import instead

    with instead({"numpy": None, "pandas": None}):
        import sqlite_utils  # noqa: F401 - imported for its effect on sys.modules


def _first_tables(connection: sqlite3.Connection) -> None:
    for statement in _FIRST_TABLES.split(";\n"):
        connection.execute(statement)


def _first_tables_whole(connection: sqlite3.Connection) -> None:
    """What the very first stores lack: the first tables were added to before they were first released."""
    columns = {row[1] for row in connection.execute("PRAGMA table_info(alarm)")}
    if "since" not in columns:
        connection.execute("ALTER TABLE alarm ADD COLUMN since INTEGER")
    for statement in _ADDED_TABLES.split(";\n"):
        connection.execute(statement)


def _deliveries(connection: sqlite3.Connection) -> None:
    """A letter may go by several carriers, each with a delivery; its number is given when it is written."""
    for statement in _DELIVERIES.split(";\n"):
        connection.execute(statement)


def _boots(connection: sqlite3.Connection) -> None:
    """What was written since which start, and whether its clock was right."""
    connection.execute(_BOOTS)


def _thinned(connection: sqlite3.Connection) -> None:
    """Up to when old readings and estimates are thinned."""
    connection.execute(_THINNED)


def _own_names(connection: sqlite3.Connection) -> None:
    """The letter that another is merged into, and the words of a doubt, under their own names."""
    connection.execute("ALTER TABLE letter RENAME COLUMN told_by TO merged_into")
    connection.execute("ALTER TABLE doubt RENAME COLUMN told TO words")


def _ledgers(connection: sqlite3.Connection) -> None:
    """What was said once, and what befell the station's files, had stood in the ledger of jobs."""
    for statement in _LEDGERS.split(";\n"):
        connection.execute(statement)


def _by_whom(connection: sqlite3.Connection) -> None:
    """Who put something aside; of what stood before, nobody knows."""
    connection.execute("ALTER TABLE shelf ADD COLUMN by_whom TEXT NOT NULL DEFAULT ''")


def _alarm_states(connection: sqlite3.Connection) -> None:
    """The state after an alarm that nobody saw, as IEC 62682 calls it."""
    connection.execute(
        "UPDATE alarm SET state = 'returned to normal unacknowledged' WHERE state = 'returned unacknowledged'"
    )


def _row_checks(connection: sqlite3.Connection) -> None:
    """Rows that cannot be true do not come in any more; those that are there are set aside."""
    # Where a store is current nobody needs them.
    from daemon.store.spoiled_rows import ruled_tables, with_checks

    for statement in _ASIDE_AND_GONE.split(";\n"):
        connection.execute(statement)
    with_checks(connection, ruled_tables(connection))


def _planned_starts(connection: sqlite3.Connection) -> None:
    """Starts that somebody planned and keeps."""
    from daemon.store.spoiled_rows import with_checks  # as above

    connection.execute(_PLANNED_STARTS)
    with_checks(connection, ("planned_start",))


def _experiments(connection: sqlite3.Connection) -> None:
    """Experiments with cups: their design, who stands where, and what was counted."""
    from daemon.store.spoiled_rows import with_checks  # as above

    for statement in _EXPERIMENTS.split(";\n"):
        connection.execute(statement)
    with_checks(connection, ("experiment", "experiment_seat", "experiment_count", "experiment_lost"))


def _outbox(connection: sqlite3.Connection) -> None:
    """What a centre is still owed; empty, and without a trigger, where nothing is recorded there."""
    from daemon.store.spoiled_rows import with_checks  # as above

    for statement in _OUTBOX.split(";\n"):
        connection.execute(statement)
    with_checks(connection, ("outbox", "outbox_to"))


def _tin_tests(connection: sqlite3.Connection) -> None:
    """Viability tests of tins that were kept."""
    from daemon.store.spoiled_rows import with_checks  # as above

    connection.execute(_TIN_TESTS)
    with_checks(connection, ("tin_test",))


def _tin_stages(connection: sqlite3.Connection) -> None:
    """What else was counted in a test of a tin: umbrella stages, and full cysts that were left."""
    from daemon.store.spoiled_rows import with_checks  # as above

    connection.execute(_TIN_STAGES)
    with_checks(connection, ("tin_test_stages",))


def _experiment_details(connection: sqlite3.Connection) -> None:
    """How warm a counted cup's water was, and why a cup was lost."""
    for statement in _EXPERIMENT_DETAILS.split(";\n"):
        connection.execute(statement)


def _swimming_starts(connection: sqlite3.Connection) -> None:
    """Whether animals are to swim in a lesson already; of what was kept before, nobody noted it."""
    connection.execute(_SWIMMING_STARTS)


_STEPS: dict[str, Callable[[sqlite3.Connection], None]] = {
    "0001_first_tables": _first_tables,
    "0001_first_tables_whole": _first_tables_whole,  # before what builds on them
    "0002_deliveries": _deliveries,
    "0003_boots": _boots,
    "0004_thinned": _thinned,
    "0005_own_names": _own_names,
    "0006_ledgers": _ledgers,
    "0007_by_whom": _by_whom,
    "0008_alarm_states": _alarm_states,
    "0009_row_checks": _row_checks,
    "0010_planned_starts": _planned_starts,
    "0011_tin_tests": _tin_tests,
    "0012_experiments": _experiments,
    "0013_tin_stages": _tin_stages,
    "0014_experiment_details": _experiment_details,
    "0015_swimming_starts": _swimming_starts,
    "0020_outbox": _outbox,
}

_FIRST_TABLES = """
CREATE TABLE reading (
    at INTEGER NOT NULL, probe TEXT NOT NULL, value REAL, quality TEXT NOT NULL,
    PRIMARY KEY (at, probe)
) STRICT, WITHOUT ROWID;
CREATE TABLE estimate (
    at INTEGER NOT NULL, vessel TEXT NOT NULL, quantity TEXT NOT NULL,
    p10 REAL NOT NULL, p50 REAL NOT NULL, p90 REAL NOT NULL,
    PRIMARY KEY (vessel, quantity, at)
) STRICT, WITHOUT ROWID;
CREATE TABLE deed (
    id INTEGER PRIMARY KEY, at INTEGER NOT NULL, vessel TEXT NOT NULL, deed TEXT NOT NULL,
    amount REAL, unit TEXT NOT NULL, detail TEXT NOT NULL CHECK (json_valid(detail)),
    withdrawn_at INTEGER, recorded_at INTEGER NOT NULL, replaces INTEGER REFERENCES deed (id)
) STRICT;
CREATE INDEX deed_by_time ON deed (at);
CREATE TABLE alarm (
    id INTEGER PRIMARY KEY, at INTEGER NOT NULL, vessel TEXT NOT NULL, condition TEXT NOT NULL,
    state TEXT NOT NULL, value REAL, probe TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX alarm_by_time ON alarm (at);
CREATE TABLE letter (
    id INTEGER PRIMARY KEY, at INTEGER NOT NULL, kind TEXT NOT NULL, subject TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('held', 'queued', 'sent', 'parked', 'merged')),
    attempts INTEGER NOT NULL DEFAULT 0, due_at INTEGER NOT NULL, sent_at INTEGER, number INTEGER,
    about TEXT NOT NULL CHECK (json_valid(about)), message BLOB, trouble TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX letter_by_state ON letter (state, due_at);
CREATE TABLE outage (
    began INTEGER PRIMARY KEY, ended INTEGER NOT NULL, clock_trusted INTEGER NOT NULL
) STRICT;
CREATE TABLE clock_step (
    at INTEGER NOT NULL, step_s INTEGER NOT NULL
) STRICT;
CREATE TABLE job_run (
    job TEXT NOT NULL, slot TEXT NOT NULL, at INTEGER NOT NULL, PRIMARY KEY (job, slot)
) STRICT, WITHOUT ROWID;
CREATE TABLE station_file (
    at INTEGER PRIMARY KEY, text TEXT NOT NULL
) STRICT
"""

_ADDED_TABLES = """
CREATE TABLE IF NOT EXISTS shelf (
    id INTEGER PRIMARY KEY, at INTEGER NOT NULL, vessel TEXT NOT NULL, condition TEXT NOT NULL,
    until INTEGER, lifted_at INTEGER
) STRICT;
CREATE TABLE IF NOT EXISTS doubt (
    at INTEGER NOT NULL, probe TEXT NOT NULL, told TEXT NOT NULL
) STRICT
"""

_DELIVERIES = """
CREATE TABLE delivery (
    letter INTEGER NOT NULL REFERENCES letter (id), carrier TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('queued', 'sent', 'parked', 'merged')),
    attempts INTEGER NOT NULL DEFAULT 0, due_at INTEGER NOT NULL, sent_at INTEGER,
    trouble TEXT NOT NULL DEFAULT '', note TEXT NOT NULL DEFAULT '',
    PRIMARY KEY (letter, carrier)
) STRICT, WITHOUT ROWID;
CREATE INDEX delivery_by_state ON delivery (carrier, state, due_at);
ALTER TABLE letter ADD COLUMN written_at INTEGER;
ALTER TABLE letter ADD COLUMN told_by INTEGER REFERENCES letter (id);
ALTER TABLE letter DROP COLUMN trouble;
UPDATE letter SET written_at = at WHERE message IS NOT NULL;
UPDATE letter SET number = given.number FROM (
    SELECT id, (SELECT coalesce(max(number), 0) FROM letter) + row_number() OVER (ORDER BY id) AS number
    FROM letter WHERE number IS NULL AND message IS NOT NULL
) AS given WHERE letter.id = given.id;
CREATE UNIQUE INDEX letter_by_number ON letter (number)
"""

_BOOTS = """
CREATE TABLE boot (
    id TEXT PRIMARY KEY, began INTEGER NOT NULL, ahead_s REAL NOT NULL, trusted INTEGER NOT NULL,
    sure_at INTEGER, moved_s INTEGER NOT NULL DEFAULT 0, moved_at INTEGER,
    restamped INTEGER NOT NULL DEFAULT 0
) STRICT
"""

_THINNED = """
CREATE TABLE thinned (
    what TEXT PRIMARY KEY, until INTEGER NOT NULL
) STRICT, WITHOUT ROWID
"""

_LEDGERS = """
CREATE TABLE said_once (
    what TEXT NOT NULL, about TEXT NOT NULL, at INTEGER NOT NULL, PRIMARY KEY (what, about)
) STRICT, WITHOUT ROWID;
INSERT INTO said_once (what, about, at)
    SELECT job, slot, at FROM job_run
    WHERE job IN ('leave', 'return', 'hatch', 'harvest', 'outage', 'urgent heat');
INSERT INTO said_once (what, about, at)
    SELECT 'damaged store', slot, at FROM job_run WHERE job = 'damaged store told';
CREATE TABLE store_set_aside (
    kept_as TEXT PRIMARY KEY, at INTEGER NOT NULL, found TEXT NOT NULL, backup TEXT
) STRICT;
INSERT OR IGNORE INTO store_set_aside (kept_as, at, found, backup)
    SELECT json_extract(slot, '$[0]'), at, json_extract(slot, '$[1]'), json_extract(slot, '$[2]')
    FROM job_run WHERE job = 'store set aside' ORDER BY at DESC;
CREATE TABLE station_file_fault (
    place INTEGER PRIMARY KEY, path TEXT NOT NULL, fault TEXT NOT NULL, at INTEGER NOT NULL
) STRICT;
INSERT INTO station_file_fault (place, path, fault, at)
    SELECT each.key, json_extract(newest.slot, '$[0]'), each.value, newest.at
    FROM (
        SELECT slot, at FROM job_run WHERE job = 'station file overlooked' ORDER BY at DESC LIMIT 1
    ) AS newest, json_each(newest.slot, '$[1]') AS each;
CREATE TABLE card_failure (
    began INTEGER NOT NULL, ended INTEGER NOT NULL, found TEXT NOT NULL
) STRICT;
INSERT INTO card_failure (began, ended, found)
    SELECT json_extract(slot, '$[1]'), at, json_extract(slot, '$[0]') FROM job_run WHERE job = 'card failed';
DELETE FROM job_run WHERE job IN (
    'leave', 'return', 'hatch', 'harvest', 'outage', 'urgent heat', 'damaged store told',
    'store set aside', 'station file overlooked', 'card failed'
)
"""

# A row set aside is without a moment until the daemon has told of it.
_ASIDE_AND_GONE = """
CREATE TABLE row_set_aside (
    id INTEGER PRIMARY KEY, at INTEGER, from_table TEXT NOT NULL, row TEXT NOT NULL CHECK (json_valid(row))
) STRICT;
CREATE TABLE store_gone (
    id INTEGER PRIMARY KEY, at INTEGER NOT NULL, found TEXT NOT NULL, kept_as TEXT, backup TEXT,
    saved INTEGER NOT NULL
) STRICT
"""

_PLANNED_STARTS = """
CREATE TABLE planned_start (
    id INTEGER PRIMARY KEY, at INTEGER NOT NULL, vessel TEXT NOT NULL, lot TEXT, set_at INTEGER NOT NULL,
    good_from INTEGER NOT NULL, good_until INTEGER NOT NULL, lesson_began INTEGER NOT NULL,
    lesson_ended INTEGER NOT NULL, withdrawn_at INTEGER
) STRICT
"""

_TIN_TESTS = """
CREATE TABLE tin_test (
    id INTEGER PRIMARY KEY, at INTEGER NOT NULL, lot TEXT NOT NULL, put INTEGER NOT NULL,
    hatched INTEGER NOT NULL, hours REAL NOT NULL, water_c REAL NOT NULL, withdrawn_at INTEGER
) STRICT
"""

_TIN_STAGES = """
CREATE TABLE tin_test_stages (
    test INTEGER PRIMARY KEY, umbrella INTEGER, full_left INTEGER
) STRICT
"""

_EXPERIMENTS = """
CREATE TABLE experiment (
    id INTEGER PRIMARY KEY, at INTEGER NOT NULL, idea TEXT NOT NULL, factor TEXT NOT NULL,
    levels TEXT NOT NULL CHECK (json_valid(levels)), cups INTEGER NOT NULL, cysts INTEGER NOT NULL,
    near TEXT NOT NULL, seed INTEGER NOT NULL,
    avoided TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(avoided))
) STRICT;
CREATE TABLE experiment_seat (
    experiment INTEGER NOT NULL, block INTEGER NOT NULL, place INTEGER NOT NULL, code TEXT NOT NULL,
    level TEXT NOT NULL, PRIMARY KEY (experiment, block, place)
) STRICT, WITHOUT ROWID;
CREATE TABLE experiment_count (
    id INTEGER PRIMARY KEY, at INTEGER NOT NULL, experiment INTEGER NOT NULL, code TEXT NOT NULL,
    hatched INTEGER NOT NULL, cysts INTEGER NOT NULL, hours REAL, withdrawn_at INTEGER, replaces INTEGER
) STRICT;
CREATE TABLE experiment_lost (
    id INTEGER PRIMARY KEY, at INTEGER NOT NULL, experiment INTEGER NOT NULL, code TEXT NOT NULL,
    withdrawn_at INTEGER
) STRICT;
CREATE INDEX experiment_count_of ON experiment_count (experiment, code)
"""

_EXPERIMENT_DETAILS = """
ALTER TABLE experiment_count ADD COLUMN water_c REAL CHECK (water_c BETWEEN -5 AND 60);
ALTER TABLE experiment_lost ADD COLUMN why TEXT
    CHECK (why IN ('broken', 'spilled', 'dry', 'mixed-up', 'moved'))
"""

_SWIMMING_STARTS = """
ALTER TABLE planned_start ADD COLUMN swimming INTEGER NOT NULL DEFAULT 0 CHECK (swimming IN (0, 1))
"""

# A centre's row has no number of the store before the clock is known to be right.
_OUTBOX = """
CREATE TABLE outbox (
    n INTEGER PRIMARY KEY AUTOINCREMENT, kind TEXT NOT NULL, key TEXT NOT NULL,
    sent INTEGER NOT NULL DEFAULT 0, UNIQUE (kind, key)
) STRICT;
CREATE TABLE outbox_resting (
    one INTEGER PRIMARY KEY
) STRICT;
CREATE TABLE outbox_to (
    key TEXT PRIMARY KEY, store INTEGER, answered_at INTEGER NOT NULL
) STRICT
"""
