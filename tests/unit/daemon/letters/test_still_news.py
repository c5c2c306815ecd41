"""What waited and was told meanwhile, or is over while another alarm of its kind stands on, is no news."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from daemon.letters.still_news import still_news
from daemon.store import alarms, letters, readings
from daemon.store.alarms import AlarmRow
from daemon.store.file import WritingStore
from sensors.reading import Quality, Reading
from tests.kit.station import station

STATION = station()
HOUR = 3600


@pytest.fixture
def store(tmp_path: Path) -> Iterator[WritingStore]:
    here = WritingStore(tmp_path, durable=False)
    yield here
    here.close()


def alarm(store: WritingStore, at: int, condition: str, state: str) -> None:
    alarms.add(store.connection, AlarmRow(at, "cup", condition, state, 1.0, "", at))


def held(store: WritingStore, at: int, kind: str = "water", told_at: int | None = None) -> letters.LetterRow:
    number = letters.hold(store.connection, at, kind, kind, told_at or at + 9 * HOUR, ["cup"])
    if told_at is not None:
        letters.write(store.connection, number, ["cup"], kind, b"", number, told_at)
    return letters.one(store.connection, number)


def test_a_water_letter_whose_low_water_is_over_does_not_tell_of_the_salt_again(store: WritingStore) -> None:
    alarm(store, HOUR, "salinity", "unacknowledged")
    held(store, HOUR, told_at=HOUR)
    alarm(store, 20 * HOUR, "water", "unacknowledged")
    waits = held(store, 20 * HOUR)
    assert still_news(STATION, store.connection, waits, 21 * HOUR)
    alarm(store, 22 * HOUR, "water", "normal")
    assert not still_news(STATION, store.connection, waits, 23 * HOUR)


def test_an_alarm_that_rang_while_it_waited_is_news(store: WritingStore) -> None:
    held(store, HOUR, told_at=HOUR)
    alarm(store, 20 * HOUR, "water", "unacknowledged")
    waits = held(store, 20 * HOUR)
    alarm(store, 21 * HOUR, "salinity", "unacknowledged")
    alarm(store, 22 * HOUR, "water", "normal")
    assert still_news(STATION, store.connection, waits, 23 * HOUR)


def test_what_no_alarm_brought_is_news_and_what_is_over_is_for_its_writer(store: WritingStore) -> None:
    alarm(store, HOUR, "cold", "unacknowledged")
    held(store, HOUR, "cold", told_at=HOUR)
    assert still_news(STATION, store.connection, held(store, 12 * HOUR, "cold"), 13 * HOUR)
    alarm(store, 14 * HOUR, "cold", "unacknowledged")
    waits = held(store, 14 * HOUR, "cold")
    readings.add(store.connection, [Reading(14 * HOUR, "cup-water", 18.0, Quality.GOOD)])
    alarm(store, 15 * HOUR, "cold", "normal")
    assert still_news(STATION, store.connection, waits, 16 * HOUR)


def test_an_alarm_that_is_over_in_hindsight_is_over(store: WritingStore) -> None:
    alarm(store, HOUR, "salinity", "unacknowledged")
    held(store, HOUR, told_at=HOUR)
    alarm(store, 20 * HOUR, "water", "unacknowledged")
    alarm(store, 19 * HOUR, "water", "normal")
    assert not still_news(STATION, store.connection, held(store, 20 * HOUR), 21 * HOUR)


def test_colder_water_by_readings_that_are_not_believed_any_more_is_no_news(store: WritingStore) -> None:
    alarm(store, HOUR, "cold", "unacknowledged")
    held(store, HOUR, "cold", told_at=HOUR)
    alarm(store, 12 * HOUR, "cold", "unacknowledged")
    waits = held(store, 12 * HOUR, "cold")
    readings.add(store.connection, [Reading(12 * HOUR, "cup-water", 4.0, Quality.IN_AIR)])
    assert not still_news(STATION, store.connection, waits, 13 * HOUR)
    readings.add(store.connection, [Reading(12 * HOUR + 60, "cup-water", 4.0, Quality.GOOD)])
    assert still_news(STATION, store.connection, waits, 13 * HOUR)
