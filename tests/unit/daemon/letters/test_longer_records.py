"""A weekend and a batch as records: from when to when, and with which letters."""

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from daemon.errors import InputError
from daemon.letters.longer_records import batch_record, weekend_record
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.store.thinning import thin_stretch
from reports import night as facts
from sensors.reading import Quality, Reading
from tests.kit.desks import Desks, moment, tray_station


def warm(_at: int) -> float:
    return 24.0


def clocks(record: Any) -> tuple[str, str]:
    return f"{record.span.began:%a %d %H:%M}", f"{record.span.ended:%a %d %H:%M}"


def sent(desks: Desks, kind: str, subject: str, at: int, *about: str) -> None:
    connection = desks.store.connection
    letter_id = letter_store.hold(connection, at, kind, subject, at, list(about))
    connection.execute("UPDATE letter SET state = 'sent', sent_at = ? WHERE id = ?", (at, letter_id))


@pytest.fixture
def long_weekend(begin: Callable[..., Desks]) -> Desks:
    """A tray set on Friday the 15th and watched to the Monday after; its school is empty on weekends."""
    desks = begin(15, "10:00")
    desks.live(moment(18, "12:00"), warm)
    return desks


def test_a_weekend_is_the_last_absence_to_its_end(long_weekend: Desks) -> None:
    connection, newest = long_weekend.store.connection, long_weekend.at
    friday_to_monday = ("Fri 15 15:30", "Mon 18 08:00")
    for at in (newest, moment(17, "20:00"), moment(15, "20:00")):
        assert clocks(weekend_record(long_weekend.station, connection, at, newest)) == friday_to_monday
    under_way = weekend_record(long_weekend.station, connection, moment(17, "20:00"), moment(17, "20:00"))
    assert clocks(under_way) == ("Fri 15 15:30", "Sun 17 20:00")
    before_any = weekend_record(long_weekend.station, connection, moment(15, "12:00"), moment(15, "12:00"))
    assert clocks(before_any) == ("Fri 15 10:10", "Fri 15 12:00")


def test_where_nobody_is_ever_away_a_weekend_is_72_hours(begin: Callable[..., Desks]) -> None:
    desks = begin(14, "10:00", attended=())
    desks.live(moment(19, "12:00"), warm)
    record = weekend_record(desks.station, desks.store.connection, desks.at, desks.at)
    assert clocks(record) == ("Sat 16 12:00", "Tue 19 12:00")


def test_a_batch_runs_from_its_setting_to_its_end_or_now(long_weekend: Desks) -> None:
    connection, (tray,) = long_weekend.store.connection, long_weekend.station.vessels
    running = batch_record(long_weekend.station, connection, tray, long_weekend.at)
    assert clocks(running) == ("Fri 15 10:00", "Mon 18 12:00")
    assert [deed.kind for deed in running.vessels[0].deeds] == ["set"]
    long_weekend.tell("harvest", 200.0)
    long_weekend.tell("end")
    ended_at = long_weekend.at
    long_weekend.live(moment(18, "18:00"), warm)
    over = batch_record(long_weekend.station, connection, tray, long_weekend.at)
    assert over.span.ended.timestamp() == ended_at - 1
    assert over.vessels[0].batch_set_at is not None
    long_weekend.tell("set", 0.05)
    long_weekend.live(moment(18, "20:00"), warm)
    assert clocks(batch_record(long_weekend.station, connection, tray, long_weekend.at)) == (
        "Mon 18 18:00",
        "Mon 18 20:00",
    )


def test_a_batch_has_its_own_letters_and_no_nightly_ones(long_weekend: Desks) -> None:
    at = moment(16, "12:00")
    for kind, subject, about in (
        ("cold", "its own", ("tray",)),
        ("probe", "of its probe", ("water",)),
        ("clock", "of the station", ()),
        ("cold", "another's", ("jar",)),
        ("nightly", "every night", ()),
    ):
        sent(long_weekend, kind, subject, at, *about)
    (tray,) = long_weekend.station.vessels
    record = batch_record(long_weekend.station, long_weekend.store.connection, tray, long_weekend.at)
    assert {one.text for one in record.letters} == {"its own", "of its probe", "of the station"}
    weekend = weekend_record(
        long_weekend.station, long_weekend.store.connection, long_weekend.at, long_weekend.at
    )
    assert "every night" not in {one.text for one in weekend.letters}


def test_a_vessel_without_a_batch_has_none_to_show(tmp_path: Path) -> None:
    desks = Desks(tray_station(), tmp_path, moment(14, "10:00"))
    (tray,) = desks.station.vessels
    with pytest.raises(InputError, match="batch: found none in tray; allowed: a vessel in which one was set"):
        batch_record(desks.station, desks.store.connection, tray, desks.at)


def test_a_store_that_was_thinned_shows_no_gaps_and_misses_none_it_let_go(
    long_weekend: Desks,
) -> None:
    connection, (tray,) = long_weekend.store.connection, long_weekend.station.vessels
    while thin_stretch(connection, moment(17, "12:00")):
        pass
    record = batch_record(long_weekend.station, connection, tray, long_weekend.at)
    (thinned,) = record.vessels
    assert facts.gaps(thinned.water_c, record.span) == []
    assert not [point for point in thinned.water_c if point.value is None]
    assert facts.share_read(record) > facts.KNOWN_SHARE


def test_a_long_span_has_breaks_only_where_nothing_was_read(begin: Callable[..., Desks]) -> None:
    """Of a reading a minute one in eight or so is left: what is left out is no gap, three hours are."""
    desks = begin(11, "10:00")
    silent = range(moment(13, "12:01"), moment(13, "15:00"))
    minutes = [at for at in range(desks.at, moment(15, "12:00"), 60) if at not in silent]
    reading_store.add(desks.store.connection, [Reading(at, "water", 24.0, Quality.GOOD) for at in minutes])
    by_the_minute = replace(desks.station, sample_every_s=60)
    (tray,) = by_the_minute.vessels
    record = batch_record(by_the_minute, desks.store.connection, tray, minutes[-1])
    points = record.vessels[0].water_c
    breaks = [point.at for point in points if point.value is None]
    assert [f"{at:%a %d %H:%M}" for at in breaks] == ["Wed 13 12:01"]
    assert all(before.at < after.at for before, after in pairwise(points))
