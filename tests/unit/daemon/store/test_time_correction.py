"""Times that a wrong clock had stamped are put right in every column that holds one."""

import re
from pathlib import Path

from daemon.store.file import WritingStore
from daemon.store.time_correction import MOMENTS

_MOMENT = re.compile(r"(.*_)?at|began|ended|since|until")
# What a moment in these is, and why it is not in the list.
OTHERWISE = {
    ("reading", "at"): "moved with the readings, which are counted",
    ("estimate", "at"): "forgotten: what was believed of wrong moments",
    ("deed", "at"): "moved where it was recorded as done now; a time that a person gave stays",
    ("deed", "recorded_at"): "moved after the deed's own time was judged by it",
    ("letter", "due_at"): "moved while it waits for the post; a held letter is put off anew",
    ("delivery", "due_at"): "moved whatever has become of it",
    ("shelf", "until"): "a moment that a person chose",
    ("planned_start", "set_at"): "a moment to come that a person chose",
    ("outage", "began"): "worked out anew from the readings",
    ("outage", "ended"): "worked out anew from the readings",
    ("boot", "began"): "kept by who puts the clock right",
    ("boot", "sure_at"): "kept by who puts the clock right",
    ("boot", "moved_at"): "kept by who puts the clock right",
    ("thinned", "until"): "nothing is thinned by a clock that is not sure",
    ("_sqlite_migrations", "applied_at"): "the library's own, a text",
}


def test_every_column_that_holds_a_moment_is_moved_or_named_with_its_reason(tmp_path: Path) -> None:
    store = WritingStore(tmp_path, durable=False)
    tables = [
        row[0] for row in store.connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
    ]
    columns = {
        (table, row[1])
        for table in tables
        for row in store.connection.execute(f"PRAGMA table_info({table})")
        if _MOMENT.fullmatch(row[1])
    }
    store.close()
    assert columns - set(MOMENTS) == OTHERWISE.keys()
    assert set(MOMENTS) <= columns
