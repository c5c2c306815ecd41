"""A station after a class: notes, silenced alarms, letters that quote them, charts, backups, and a log."""

import shutil
import sqlite3
from contextlib import closing
from datetime import date
from email import policy
from email.message import EmailMessage
from pathlib import Path

from daemon.care.deed import Deed
from daemon.store import deeds as deed_store
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store import shelved_alarms as shelf_store
from daemon.store.backup import BACKUPS, back_up
from daemon.store.file import WritingStore
from sensors.reading import Quality, Reading
from tests.kit.recordings import unix
from tests.kit.station import station_text

BEGAN = unix("2027-01-14T08:00:00+00:00")
DAY = date(2027, 1, 15)
HOUR = 3600


def letter_quoting(text: str) -> bytes:
    """A letter that quotes a note, packed and broken into lines as letters are."""
    message = EmailMessage(policy=policy.SMTP)
    message["Subject"] = "A good night"
    message.set_content(f"Done:\n- {text}\n")
    message.add_alternative(f"<p>Done: {text}</p>", subtype="html", cte="base64")
    return bytes(message)


def furnish(state: Path, notes: list[str], names: list[str], *, waiting: int = 0) -> None:
    """A store in `state`, with a letter a note; the last `waiting` of them still wait for the post."""
    state.mkdir(parents=True, exist_ok=True)
    store = WritingStore(state)
    with store.transaction() as connection:
        run_store.keep_station_file(connection, BEGAN, station_text(every_s=600))
        told = (Reading(BEGAN + n * 600, "cup-water", 22.0 + n % 7, Quality.GOOD) for n in range(300))
        reading_store.add(connection, told)
        setting = Deed(BEGAN, "cup", "set", 0.05, {"salt_g_per_l": 25.0, "lot": "blue tin"})
        deed_store.add(connection, setting, BEGAN)
        deed_store.add(connection, Deed(BEGAN + 9 * HOUR, "cup", "top-up", 12.0, {"to": "mark"}), BEGAN)
        for place, note in enumerate(notes):
            noted = deed_store.add(
                connection, Deed(BEGAN + place, "cup", "note", None, {"text": note}), BEGAN
            )
            if place % 3 == 1:  # what was withdrawn stays in the records, and is wiped too
                deed_store.withdraw(connection, noted, BEGAN + HOUR)
            held = letter_store.hold(connection, BEGAN, "nightly", "nightly", BEGAN, ["cup"])
            letter_store.write(
                connection, held, ["cup"], "A good night", letter_quoting(note), place + 1, BEGAN
            )
            if place < len(notes) - waiting:
                connection.execute(
                    "UPDATE letter SET state = 'sent', sent_at = ? WHERE id = ?", (BEGAN, held)
                )
        for place, name in enumerate(names):
            shelf_store.add(connection, BEGAN + place, "cup", f"condition-{place}", None, name)
    store.close()


def copies(state: Path, notes: list[str]) -> None:
    """What stands beside such a store: a backup, a damaged one, charts, letters as files, a snapshot."""
    back_up(state, state / BACKUPS, DAY, lambda _folder: 10**12)
    shutil.copy(state / "station.db", state / "station.db.broken-2027-01-10")
    for folder in ("charts", "letters"):
        (state / folder).mkdir()
    (state / "charts" / "2027-01-15.png").write_bytes(b"\x89PNG " + "".join(notes).encode())
    for place, note in enumerate(notes):
        (state / "letters" / f"{place:04d}-nightly.eml").write_bytes(letter_quoting(note))
    (state / "beliefs.snapshot").write_bytes(b"packed")


def counted(state: Path) -> list[tuple[object, ...]]:
    """Every reading and every deed but its note's words, as they stand in the file."""
    with closing(sqlite3.connect(state / "station.db")) as connection:
        readings = connection.execute("SELECT * FROM reading ORDER BY at, probe").fetchall()
        deeds = connection.execute(
            "SELECT id, at, vessel, deed, amount, unit, json_remove(detail, '$.text'), withdrawn_at, "
            "recorded_at, replaces FROM deed ORDER BY id"
        ).fetchall()
        letters = connection.execute(
            "SELECT id, kind, subject, state, number FROM letter ORDER BY id"
        ).fetchall()
    return [*readings, *deeds, *letters]
