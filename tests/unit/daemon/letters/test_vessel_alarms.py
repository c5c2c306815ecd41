"""A vessel's alarms for reports: what stands, what is over, what somebody put aside, so that nobody knows."""

from pathlib import Path

import pytest

from daemon.alarms.conditions import AlarmKey
from daemon.alarms.lifecycle import State
from daemon.alarms.watch import Change
from daemon.estimates.quantile import Estimate
from daemon.letters.vessel_alarms import open_alarms, past_alarms, silenced_alarms
from daemon.store import estimates, readings
from daemon.store import shelved_alarms as shelf_store
from daemon.store.file import WritingStore
from daemon.watching.alarm_desk import keep
from sensors.reading import Quality, Reading
from tests.kit.desks import moment, tray_station

STATION = tray_station()
(TRAY,) = STATION.vessels
DAY = (moment(12, "20:00"), moment(13, "20:00"))


def changed(store: WritingStore, clock: str, state: State, began: str | None = "08:00") -> None:
    since = None if began is None else moment(13, began)
    keep(store.connection, [Change(moment(13, clock), AlarmKey("tray", "cold"), state, 17.0, since)])


def test_what_stood_when_it_was_put_aside_is_neither_open_nor_over_but_silenced(tmp_path: Path) -> None:
    store = WritingStore(tmp_path, durable=False)
    mine = (STATION, store.connection, TRAY)
    changed(store, "09:00", State.UNACKNOWLEDGED)
    shelf_store.add(store.connection, moment(13, "10:00"), "tray", "cold", moment(14, "08:00"))
    changed(store, "10:00", State.SHELVED)
    assert open_alarms(*mine, DAY[1]) == ()
    assert past_alarms(*mine, DAY) == ()
    (silenced,) = silenced_alarms(*mine, DAY[1])
    assert silenced.by is None
    assert (silenced.text, silenced.since.hour, silenced.until and silenced.until.day) == (
        "cold water",
        10,
        14,
    )
    assert silenced_alarms(*mine, moment(14, "09:00")) == ()
    store.close()


def test_what_was_put_aside_and_is_over_when_it_is_taken_back_is_over_then(tmp_path: Path) -> None:
    store = WritingStore(tmp_path, durable=False)
    changed(store, "09:00", State.UNACKNOWLEDGED)
    changed(store, "10:00", State.OUT_OF_SERVICE)
    changed(store, "12:00", State.NORMAL, None)
    (past,) = past_alarms(STATION, store.connection, TRAY, DAY)
    assert (past.span.began.hour, past.span.ended.hour) == (8, 12)
    store.close()


def test_cold_of_which_trust_took_back_every_reading_is_not_said_to_be_over(tmp_path: Path) -> None:
    store = WritingStore(tmp_path, durable=False)
    changed(store, "09:00", State.UNACKNOWLEDGED)
    changed(store, "12:00", State.NORMAL, None)
    readings.add(store.connection, [Reading(moment(13, "11:00"), "water", 18.6, Quality.IN_AIR)])
    (past,) = past_alarms(STATION, store.connection, TRAY, DAY)
    assert (past.span.ended.hour, past.afterwards) == (12, "unjudged")
    store.close()


def read(store: WritingStore, clock: str, water_c: float) -> None:
    readings.add(store.connection, [Reading(moment(13, clock), "water", water_c, Quality.GOOD)])


def test_cold_that_only_a_probe_in_the_air_read_as_over_is_not_judged_since_its_water_was_last_read(
    tmp_path: Path,
) -> None:
    store = WritingStore(tmp_path, durable=False)
    changed(store, "09:00", State.UNACKNOWLEDGED)
    changed(store, "12:00", State.RETURNED)
    read(store, "10:00", 17.1)
    readings.add(store.connection, [Reading(moment(13, "12:00"), "water", 18.6, Quality.IN_AIR)])
    (past,) = past_alarms(STATION, store.connection, TRAY, DAY)
    assert (past.span.ended.hour, past.afterwards) == (10, "unjudged")
    store.close()


@pytest.mark.parametrize(
    ("state", "water_c", "since"),
    [
        (State.NORMAL, 18.6, "over"),
        (State.RETURNED, 17.9, "again"),
        (State.SUPPRESSED, 12.0, "unjudged"),
    ],
)
def test_what_came_and_went_says_how_it_stands_since(
    tmp_path: Path, state: State, water_c: float, since: str
) -> None:
    store = WritingStore(tmp_path, durable=False)
    changed(store, "09:00", State.UNACKNOWLEDGED)
    changed(store, "12:00", state, None)
    read(store, "12:00", 18.5)
    read(store, "19:50", water_c)
    (past,) = past_alarms(STATION, store.connection, TRAY, DAY)
    assert past.afterwards == since
    store.close()


@pytest.mark.parametrize(
    ("salt", "words"), [(48.0, "the water {} too salty"), (18.0, "the water {} not salty enough")]
)
def test_an_alarm_of_the_salt_says_whether_there_is_too_much_though_a_deed_acknowledged_it(
    tmp_path: Path, salt: float, words: str
) -> None:
    store, key = WritingStore(tmp_path, durable=False), AlarmKey("tray", "salinity")

    def turned(clock: str, state: State, value: float | None) -> None:
        keep(store.connection, [Change(moment(13, clock), key, state, value, moment(13, "08:00"))])

    turned("09:00", State.UNACKNOWLEDGED, salt)
    estimates.add(
        store.connection, moment(13, "09:00"), "tray", {"salinity_g_per_kg": Estimate(salt, salt, salt)}
    )
    turned("10:00", State.ACKNOWLEDGED, None)
    (stands,) = open_alarms(STATION, store.connection, TRAY, DAY[1])
    assert stands.text == f"{words.format('is')} (seen)"
    turned("12:00", State.NORMAL, None)
    (past,) = past_alarms(STATION, store.connection, TRAY, DAY)
    assert past.text == words.format("was")
    store.close()
