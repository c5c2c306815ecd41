"""What waited and was told meanwhile, or is over while another alarm of its kind stands on, is no news."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from daemon.letters.still_news import still_news
from daemon.store import alarms, letters
from daemon.store.alarms import AlarmRow
from daemon.store.file import WritingStore

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
    assert still_news(store.connection, waits, 21 * HOUR)
    alarm(store, 22 * HOUR, "water", "normal")
    assert not still_news(store.connection, waits, 23 * HOUR)


def test_an_alarm_that_rang_while_it_waited_is_news(store: WritingStore) -> None:
    held(store, HOUR, told_at=HOUR)
    alarm(store, 20 * HOUR, "water", "unacknowledged")
    waits = held(store, 20 * HOUR)
    alarm(store, 21 * HOUR, "salinity", "unacknowledged")
    alarm(store, 22 * HOUR, "water", "normal")
    assert still_news(store.connection, waits, 23 * HOUR)


def test_what_no_alarm_brought_is_news_and_what_is_over_is_for_its_writer(store: WritingStore) -> None:
    alarm(store, HOUR, "cold", "unacknowledged")
    held(store, HOUR, "cold", told_at=HOUR)
    assert still_news(store.connection, held(store, 12 * HOUR, "cold"), 13 * HOUR)
    alarm(store, 14 * HOUR, "cold", "unacknowledged")
    waits = held(store, 14 * HOUR, "cold")
    alarm(store, 15 * HOUR, "cold", "normal")
    assert still_news(store.connection, waits, 16 * HOUR)
