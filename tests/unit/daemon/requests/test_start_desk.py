"""Planned starts: kept once, one a vessel, gone when the cysts are set, taken back, or over."""

from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from daemon.care.deed import Deed
from daemon.errors import InputError
from daemon.requests.start_desk import answer
from daemon.store import deeds as deed_store
from daemon.store.file import WritingStore
from daemon.store.planned_starts import standing
from tests.kit.starts import at
from tests.kit.station import probe, station, vessel

STATION = station(probe("water"), vessel("cup", "water"), vessel("jar", "water"))
NOW, HOUR, DAY = at("2027-03-03T09:00"), 3600, 86_400
SET_AT, LESSON = at("2027-03-09T10:00"), (at("2027-03-10T10:00"), at("2027-03-10T11:30"))
WISH = {
    "vessel": "cup",
    "lot": "spring",
    "set_at": SET_AT,
    "good_from": SET_AT - HOUR,
    "good_until": SET_AT + HOUR,
    "lesson_began": LESSON[0],
    "lesson_ended": LESSON[1],
}


@pytest.fixture
def store(tmp_path: Path) -> Iterator[WritingStore]:
    store = WritingStore(tmp_path, durable=False)
    yield store
    store.close()


def asked(store: WritingStore, ask: str, now: int = NOW, **words: Any) -> dict[str, Any]:
    with store.transaction() as connection:
        return answer(STATION, connection, {"ask": ask, **words}, now)


def kept(store: WritingStore, now: int = NOW) -> list[tuple[int, str]]:
    return [(one.id, one.start.vessel) for one in standing(store.connection, now)]


def tell(store: WritingStore, vessel_id: str, deed: str, when: int) -> int:
    with store.transaction() as connection:
        return deed_store.add(connection, Deed(when, vessel_id, deed, 0.05), when)


def test_a_plan_stands_as_it_was_kept_and_sent_once_more_it_is_kept_once(store: WritingStore) -> None:
    number = asked(store, "start keep", **WISH)["id"]
    assert asked(store, "start keep", **WISH) == {"id": number}
    (entry,) = standing(store.connection, NOW)
    assert (entry.id, entry.at, entry.withdrawn_at) == (number, NOW, None)
    assert (entry.start.lot, entry.start.set_at, entry.start.lesson) == ("spring", SET_AT, LESSON)


def test_one_for_swimmers_stands_as_one_and_is_another_plan_than_the_same_for_a_hatch(
    store: WritingStore,
) -> None:
    hatch = asked(store, "start keep", **WISH)["id"]
    swim = asked(store, "start keep", **WISH, swimming=True)["id"]
    assert swim != hatch
    (entry,) = standing(store.connection, NOW)
    assert (entry.id, entry.start.swimming) == (swim, True)
    with pytest.raises(InputError, match="swimming: found 'yes'; allowed: true, false"):
        asked(store, "start keep", **WISH, swimming="yes")


def test_of_one_vessel_the_newest_stands_alone(store: WritingStore) -> None:
    asked(store, "start keep", **WISH)
    jar = asked(store, "start keep", **{**WISH, "vessel": "jar"})["id"]
    later = asked(store, "start keep", **{**WISH, "set_at": SET_AT + 1800})["id"]
    assert sorted(kept(store)) == [(jar, "jar"), (later, "cup")]


def test_it_goes_when_its_cysts_are_set_and_comes_back_when_that_was_a_mistake(store: WritingStore) -> None:
    number = asked(store, "start keep", **WISH)["id"]
    tell(store, "jar", "set", SET_AT)
    tell(store, "cup", "stir", SET_AT)
    assert kept(store, SET_AT + 60) == [(number, "cup")]
    deed = tell(store, "cup", "set", SET_AT - HOUR)
    assert kept(store, SET_AT + 60) == []
    with store.transaction() as connection:
        deed_store.withdraw(connection, deed, SET_AT + 120)
    assert kept(store, SET_AT + 180) == [(number, "cup")]


def test_a_batch_set_long_before_is_another_one(store: WritingStore) -> None:
    number = asked(store, "start keep", **WISH)["id"]
    tell(store, "cup", "set", NOW + HOUR)
    assert kept(store, NOW + DAY) == [(number, "cup")]


def test_it_goes_when_it_is_taken_back_and_when_its_lesson_is_over(store: WritingStore) -> None:
    number = asked(store, "start keep", **WISH)["id"]
    assert kept(store, LESSON[1] - 1) == [(number, "cup")]
    assert kept(store, LESSON[1]) == []
    assert asked(store, "start withdraw", id=number) == {"withdrawn": True}
    assert asked(store, "start withdraw", id=number) == {"withdrawn": False}
    assert kept(store) == []


@pytest.mark.parametrize(
    "changed",
    [
        {"vessel": "cub"},
        {"vessel": None},
        {"lot": 3},
        {"lot": "two\nlines"},
        {"lot": "x" * 201},
        {"set_at": NOW - 2 * HOUR},
        {"set_at": LESSON[0]},
        {"set_at": "soon"},
        {"lesson_ended": LESSON[0]},
        {"lesson_ended": LESSON[0] + 25 * HOUR},
        {"lesson_began": NOW + 400 * DAY, "lesson_ended": NOW + 400 * DAY + HOUR},
        {"good_from": SET_AT + 1},
        {"good_until": SET_AT - 1},
    ],
)
def test_what_makes_no_sense_is_refused_and_nothing_is_kept(
    store: WritingStore, changed: dict[str, Any]
) -> None:
    number = asked(store, "start keep", **WISH)["id"]
    with pytest.raises(InputError):
        asked(store, "start keep", **{**WISH, **changed})
    assert kept(store) == [(number, "cup")]


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.dictionaries(
        st.sampled_from(list(WISH)),
        st.none() | st.integers() | st.text(max_size=5) | st.booleans() | st.floats(),
    ),
    st.sampled_from(["start keep", "start withdraw", "start x"]),
)
def test_whatever_is_asked_is_answered_or_refused(
    store: WritingStore, words: dict[str, Any], ask: str
) -> None:
    before = kept(store)
    with suppress(InputError):
        asked(store, ask, **{**WISH, **words})
        return
    assert kept(store) == before
