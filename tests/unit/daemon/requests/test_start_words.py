"""What a station knows before a start can be asked of a running daemon, and goes whole through the inbox."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.assembly import assemble
from daemon.care.deed import Deed
from daemon.errors import InputError
from daemon.requests.start_words import learned_read
from daemon.store import deeds as deed_store
from daemon.store import readings as reading_store
from daemon.store.file import WritingStore
from daemon.watching.beliefs import Beliefs
from sensors.reading import Quality, Reading
from tests.kit.station import station

STATION = station(every_s=600)
BEGAN, HOUR = 1_806_000_000, 3600
NOW = BEGAN + 60 * HOUR


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[WritingStore]:
    store = WritingStore(tmp_path_factory.mktemp("store"), durable=False)
    with store.transaction() as connection:
        deed_store.add(connection, Deed(BEGAN, "cup", "set", 0.05, {"lot": "spring"}), BEGAN)
        first = Deed(BEGAN + 14 * HOUR, "cup", "first-swimmer")
        deed_store.add(connection, first, first.at)
        for at in range(BEGAN, NOW, 600):
            reading_store.add(connection, [Reading(at, "cup-water", 26.0 + at % 7 / 10, Quality.GOOD)])
    yield store
    store.close()


def asked(store: WritingStore, **words: Any) -> dict[str, Any]:
    """By the way the inbox takes it: JSON out, JSON back."""
    desk = assemble(STATION, store.connection, NOW).requests
    answer = desk.answer({"ask": "ahead", **words}, NOW)
    return dict(json.loads(json.dumps(answer, allow_nan=False)))


def test_the_water_of_a_week_ahead_and_the_lot_come_back_as_believed(store: WritingStore) -> None:
    found = learned_read(asked(store, vessel="cup", lot="spring"), "cup")
    belief = Beliefs(STATION, store.connection, NOW).of("cup")
    start, seen = belief.lot_ahead("spring", NOW)
    assert found.hatches_seen == seen == 1
    assert found.began == NOW // HOUR * HOUR
    assert len(found.hourly_c) >= 7 * 24
    for (middle, sd), (own, own_sd) in zip(found.hourly_c, belief.water_ahead(NOW), strict=True):
        assert (middle, sd) == pytest.approx((own, own_sd), abs=0.006)
    for row, own_row in zip(found.nodes, start.nodes, strict=True):
        assert row == pytest.approx(tuple(own_row), rel=1e-3)


def test_a_lot_whose_hatch_was_seen_is_believed_otherwise_than_another(store: WritingStore) -> None:
    seen, unseen = (learned_read(asked(store, vessel="cup", lot=lot), "cup") for lot in ("spring", "other"))
    assert (seen.hatches_seen, unseen.hatches_seen) == (1, 0)
    assert seen.nodes != unseen.nodes


def test_asking_changes_nothing(store: WritingStore) -> None:
    before = list(store.connection.iterdump())
    asked(store, vessel="cup")
    assert list(store.connection.iterdump()) == before


@pytest.mark.parametrize("words", [{}, {"vessel": "cub"}, {"vessel": 3}, {"vessel": "cup", "lot": ["x"]}])
def test_a_request_without_sense_is_refused(store: WritingStore, words: dict[str, Any]) -> None:
    with pytest.raises(InputError):
        asked(store, **words)


def test_of_a_vessel_that_was_never_read_nothing_is_known(tmp_path: Path) -> None:
    store = WritingStore(tmp_path, durable=False)
    with pytest.raises(InputError, match="cup: found no water read there; allowed: --water-c"):
        learned_read(asked(store, vessel="cup"), "cup")
    assert learned_read(asked(store, vessel="cup"), "cup", for_water=False).hatches_seen == 0
    store.close()


@pytest.mark.parametrize(("hours", "enough"), [(22, False), (26, True)])
def test_water_read_for_less_than_a_day_is_no_forecast(tmp_path: Path, hours: int, enough: bool) -> None:
    store = WritingStore(tmp_path, durable=False)
    with store.transaction() as connection:
        for at in range(NOW - hours * HOUR, NOW, 600):
            reading_store.add(connection, [Reading(at, "cup-water", 24.0, Quality.GOOD)])
    answer = asked(store, vessel="cup")
    assert answer["hours_read"] == pytest.approx(hours, abs=1)
    if enough:
        assert learned_read(answer, "cup").hourly_c
    else:
        with pytest.raises(InputError, match=r"cup: found water read there for 2[123] h, less than a day"):
            learned_read(answer, "cup")
    store.close()


@given(
    st.fixed_dictionaries(
        {},
        optional={
            "began": st.none() | st.integers() | st.text(),
            "hourly_c": st.none() | st.lists(st.lists(st.floats() | st.none(), max_size=3), max_size=30),
            "nodes": st.none() | st.lists(st.lists(st.floats(), max_size=3), max_size=4),
            "hatches_seen": st.none() | st.integers(),
            "hours_read": st.none() | st.integers(),
        },
    )
)
def test_an_answer_of_another_kind_is_refused_in_one_line(answer: dict[str, Any]) -> None:
    with pytest.raises(InputError) as refused:
        learned_read(answer, "cup")
    assert len(refused.value.faults) == 1
