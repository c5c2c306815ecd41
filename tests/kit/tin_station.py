"""A station that hatched two tins: one that falls off, batch by batch, and one of which nobody counted."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from daemon.seconds import DAY_S, HOUR_S
from daemon.store import deeds as deed_store
from daemon.store import estimates as estimate_store
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.file import SUMMARY, WritingStore
from sensors.reading import Quality, Reading
from tests.kit.station import probe, station_text, table, vessel

AT = 1_800_000_000
HATCHED = (88, 80, 66, 45, 25)  # of a hundred, in the falling tin's batches
SPRING = {"opened": "2026-06-01", "stored": "fridge", "mass_g": 50.0, "cysts_per_g": 252_678}


def tin_station(
    folder: Path,
    hatched: Sequence[int] = HATCHED,
    *,
    played: bool = False,
    watched: bool = True,
    **keys: Any,
) -> Path:
    """Its state folder. The spring tin's batches are twenty days apart in a tray of 24 cups.

    `played`: its now is the last reading, as where time was played. Where it is not `watched` no reading told
    how far its batches were. `keys` are more of the table `[station]`.
    """
    folder.mkdir(parents=True, exist_ok=True)
    text = station_text(
        *(probe("water"), probe("jar-water")),
        *(vessel("tray", "water", count=24), vessel("jar", "jar-water", kind="jar", mark_ml=900.0)),
        table("[[lot]]", id="spring", strain="great-salt-lake", **SPRING),
        table("[[lot]]", id="unused"),
        name="Room 7",
        **keys,
    )
    store = WritingStore(folder, durable=False)
    with store.transaction() as connection:
        run_store.keep_station_file(connection, AT - 200 * DAY_S, text)
        for place, animals in enumerate(hatched):
            set_at = AT - (20 * (len(hatched) - place)) * DAY_S
            _batch(connection, "tray", set_at, {"lot": "spring"}, 0.05)
            if watched:
                believe(connection, "tray", set_at)
            count = Deed(set_at + 50 * HOUR_S, "tray", "count", float(animals), {"of_cysts": 100.0})
            deed_store.add(connection, count, count.at)
        by_water = AT - 10 * DAY_S
        _batch(connection, "jar", by_water, {"lot": "old <tin>", "volume_ml": 800.0}, 2.0)
        aliquot = Deed(by_water + 60 * HOUR_S, "jar", "count", 300.0, {"volume_ml": 1.0})
        deed_store.add(connection, aliquot, aliquot.at)
        taken_back = _batch(connection, "jar", by_water + DAY_S, {"lot": "mistaken"}, 9.0)
        deed_store.withdraw(connection, taken_back, by_water + 2 * DAY_S)
        reading_store.add(connection, [Reading(AT, "water", 22.0, Quality.GOOD)])
    store.close()
    if played:
        (folder / SUMMARY).write_text("{}", encoding="utf-8")
    return folder


def believe(connection: Any, vessel_id: str, set_at: int) -> None:
    """Two days on, all are out: T10 after 20 hours, T50 after 25, T90 after 32, an hour either way."""
    at = set_at + 48 * HOUR_S
    moments = {"hatch_t10": 20, "hatch_t50": 25, "hatch_t90": 32}
    believed = {
        quantity: Estimate(*(set_at + (hours + off) * HOUR_S for off in (-1, 0, 1)))
        for quantity, hours in moments.items()
    }
    believed["hatched_fraction"] = Estimate(0.96, 0.99, 1.0)
    believed["hatchable_share"] = Estimate(0.6, 0.7, 0.8)
    estimate_store.add(connection, at, vessel_id, believed)


def _batch(connection: Any, vessel_id: str, set_at: int, detail: dict[str, Any], grams: float) -> int:
    return deed_store.add(connection, Deed(set_at, vessel_id, "set", grams, detail), set_at)
