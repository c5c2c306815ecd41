"""A small store with all that an export must bear: hostile notes, corrections, a probe long gone."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from daemon.store import deeds as deed_store
from daemon.store import estimates as estimate_store
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.file import WritingStore
from sensors.reading import Quality, Reading
from tests.kit.recordings import unix
from tests.kit.station import probe, station_text, vessel

BEGAN = unix("2026-10-24T22:00:00+00:00")  # the night in which Lisbon's clocks go back
NOTES = (
    '=HYPERLINK("http://school.example","look")',
    "+1",
    "-2+3",
    "@SUM(A1)",
    "milky; =1+1",
    'says "ouch", twice',
    "Größe: 3 µm, 卤虫 🦐",
    "'=quoted",
    " =blank first",
)
TEXT = station_text(
    probe("water-1"),
    probe("water-2"),
    probe("air", "room_c"),
    vessel("cup-1", "water-1", "air"),
    vessel("cup-2", "water-2", "air"),
    name="Räume & Töpfe",
)


@contextmanager
def written_into(folder: Path) -> Iterator[WritingStore]:
    """A new store that knows the station."""
    store = WritingStore(folder)
    try:
        with store.transaction() as connection:
            run_store.keep_station_file(connection, BEGAN, TEXT)
        yield store
    finally:
        store.close()


def furnish(folder: Path) -> None:
    """Two days of it, a reading every ten minutes."""
    with written_into(folder) as store, store.transaction() as connection:
        for step in range(2 * 144):
            at = BEGAN + step * 600
            air_c, quality = (None, Quality.ABSENT) if step % 50 == 7 else (21.0625, Quality.GOOD)
            reading_store.add(
                connection,
                [
                    Reading(at, "water-1", -0.0625 if step == 3 else 24.0 + step / 1000, Quality.GOOD),
                    Reading(at, "water-2", 85.0, Quality.RESET),
                    Reading(at, "air", air_c, quality),
                ],
            )
        reading_store.add(connection, [Reading(BEGAN, "long-gone", 3.5, Quality.GOOD)])
        for hour in range(48):
            for name in ("cup-1", "cup-2"):
                at = BEGAN + hour * 3600
                believed = {
                    "loss_ml": Estimate(-1.5, 0.1 + 0.2, hour / 3),
                    "hatch_t50": Estimate(at + 3600.25, at + 7200.5, at + 9999.75),
                }
                estimate_store.add(connection, at, name, believed)
        detail = {"salt_g_per_l": 25.0, "lot": "=tin"}
        first = deed_store.add(connection, Deed(BEGAN + 60, "cup-1", "set", 0.05, detail), BEGAN + 90)
        for place, note in enumerate(NOTES):
            deed = Deed(BEGAN + 7200 + place, "cup-1", "note", None, {"text": note})
            deed_store.add(connection, deed, BEGAN + 9000)
        deed_store.withdraw(connection, first, BEGAN + 20_000)
        again = Deed(BEGAN + 120, "cup-1", "set", 0.1, detail)
        deed_store.add(connection, again, BEGAN + 20_000, replaces=first)
        deed_store.add(connection, Deed(BEGAN, "thrown-away", "stir"), BEGAN)
        mistaken = deed_store.add(connection, Deed(BEGAN + 4000, "cup-1", "stir"), BEGAN + 4000)
        deed_store.withdraw(connection, mistaken, BEGAN + 4060)
        deed_store.add(
            connection, Deed(BEGAN + 86_400, "cup-2", "salinity", 1.021, {"with": "hydrometer"}, "sg"), BEGAN
        )
        _letters(connection)


def _letters(connection: sqlite3.Connection) -> None:
    ids = [
        letter_store.hold(connection, BEGAN + 3600 * n, kind, f"{kind}: now", BEGAN + 3600 * n, about)
        for n, (kind, about) in enumerate(
            [("nightly", []), ("water", ["cup-1"]), ("probe", ["water-2"]), ("cold", ["cup-2"])], 1
        )
    ]
    letter_store.write(connection, ids[1], ["cup-1"], "-40 mL below, cup-1", b"words", 1, BEGAN + 7300)
    letter_store.merge(connection, ids[2])
    letter_store.merge_into(connection, ids[2], ids[1])
