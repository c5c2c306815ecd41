"""What a station packs, the centre's database takes: every kind of box, also of rows that are gone."""

import json
from contextlib import closing
from pathlib import Path

from daemon.care.deed import KINDS, Deed
from daemon.estimates.quantile import Estimate
from daemon.outside.record_bodies import Bodies
from daemon.record.box import packed, unpacked
from daemon.store import alarms, deeds, deliveries, estimates, letters, outbox, readings
from daemon.store.alarms import AlarmRow
from daemon.store.file import WritingStore
from sensors.reading import Quality, Reading
from tests.kit.postgres import needs_postgres
from tests.kit.station import station
from tests.kit.told_boxes import HOUR as NOW
from tests.kit.told_boxes import Line, take

pytestmark = needs_postgres


def write_all_sorts(store: WritingStore) -> None:
    with store.transaction() as connection:
        outbox.begin(connection, "a-key", NOW)
        for i, quality in enumerate(Quality):
            value = 24.0 if quality is Quality.GOOD else None
            readings.add(connection, [Reading(NOW + 61 * i, "cup-water", value, quality)])
        readings.add(connection, [Reading(NOW, "room-air", 19.0, Quality.GOOD)])
        readings.add(connection, [Reading(NOW, "taken-away", 1.0, Quality.GOOD)])
        for word in KINDS:
            deeds.add(
                connection, Deed(NOW, "cup", word, 0.5, {"text": "x", "lot": "y", "with": "hydrometer"}), NOW
            )
        deeds.withdraw(connection, 1, NOW + 1)
        deeds.add(connection, Deed(NOW, "cup", "stir"), NOW, replaces=1)
        for state in ("unacknowledged", "normal"):
            alarms.add(connection, AlarmRow(NOW, "", "storage", state, None, "", None))
            alarms.add(connection, AlarmRow(NOW, "cup", "probe", state, 1.5, "cup-water", NOW))
        estimates.add(connection, NOW, "cup", {"loss_ml": Estimate(1, 2, 3)})
        letter = letters.hold(connection, NOW, "cold", "words", NOW, ["cup"])
        letters.hold(connection, NOW, "hot", "words", NOW, ["cup"])
        letters.write(connection, letter, ["cup"], "words", b"words", 1, NOW)
        deliveries.queue(connection, letter, ["mail", "webhook"], NOW)


def test_no_box_of_a_station_is_refused_and_all_of_it_is_there(empty: Line, tmp_path: Path) -> None:
    with closing(WritingStore(tmp_path, durable=False)) as store:
        write_all_sorts(store)
        owed = outbox.due(store.connection, NOW + 7200, (), 999)
        bodies = Bodies(station(), store.connection, NOW)
        gone = [outbox.Owed(NOW * 2000 + i, kind, 99) for i, kind in enumerate(("deed", "alarm", "letter"))]
        empty_ones = [
            outbox.Owed(NOW * 3000, "hour", NOW + 3600),
            outbox.Owed(NOW * 3001, "estimate", NOW + 1),
        ]
        boxes = [unpacked(packed(bodies.box(one))) for one in (*owed, *gone, *empty_ones)]
    told = [("a-key", {"v": 1, "n": box.n, "kind": box.kind, **box.body}) for box in boxes]
    assert {box.kind for box in boxes} == {"hour", "estimate", "alarm", "deed", "letter"}
    assert take(empty, json.loads(json.dumps(told))) == 0
    tables = ("hour", "hour_box", "estimate", "deed", "alarm", "letter", "refused")
    counted = empty.execute(
        " UNION ALL ".join(f"SELECT '{table}', count(*) FROM {table}" for table in tables)
    )
    assert dict(counted.fetchall()) == {
        "hour": 3,
        "hour_box": 2,
        "estimate": 2,
        "deed": len(KINDS) + 2,
        "alarm": 5,
        "letter": 3,
        "refused": 0,
    }
