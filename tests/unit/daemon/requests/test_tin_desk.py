"""Tests of tins kept and taken back, through the desk that the inbox asks."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from daemon.errors import InputError
from daemon.requests.tin_desk import answer
from daemon.store import tin_tests
from daemon.store.file import WritingStore

NOW = 1_800_000_000
KEEP = {"ask": "tin keep", "lot": "blue tin", "put": 50, "hatched": 38, "hours": 48, "water_c": 25.0}


@pytest.fixture
def store(tmp_path: Path) -> Iterator[WritingStore]:
    store = WritingStore(tmp_path, durable=False)
    yield store
    store.close()


def ask(store: WritingStore, now: int = NOW, **words: Any) -> dict[str, Any]:
    with store.transaction() as connection:
        return answer(connection, {**KEEP, **words}, now)


def test_a_test_is_kept_as_it_was_counted_and_withdrawn_without_being_lost(store: WritingStore) -> None:
    assert ask(store) == {"id": 1}
    (kept,) = tin_tests.standing(store.connection, NOW)
    assert (kept.lot, kept.at, kept.test.put, kept.test.hatched) == ("blue tin", NOW, 50, 38)
    assert (kept.test.hours, kept.test.water_c) == (48.0, 25.0)
    assert ask(store, NOW + 5, ask="tin withdraw", id=1) == {"id": 1, "lot": "blue tin"}
    assert tin_tests.standing(store.connection, NOW + 5) == []
    assert store.connection.execute("SELECT id, withdrawn_at FROM tin_test").fetchall() == [(1, NOW + 5)]


def test_stages_are_kept_where_they_were_looked_at(store: WritingStore) -> None:
    ask(store, umbrella=3, full_left=5)
    ask(store, umbrella=0)
    ask(store, hatched=37)
    stages = [(one.test.umbrella, one.test.full_left) for one in tin_tests.standing(store.connection, NOW)]
    assert stages == [(3, 5), (0, None), (None, None)]


def test_stages_of_a_test_that_was_set_aside_pass_to_no_other(store: WritingStore) -> None:
    ask(store, umbrella=3)
    store.connection.execute("DELETE FROM tin_test")
    assert ask(store) == {"id": 1}
    assert tin_tests.standing(store.connection, NOW)[0].test.umbrella is None


def test_a_double_tap_is_one_test_and_a_second_dish_later_is_another(store: WritingStore) -> None:
    assert ask(store) == {"id": 1}
    assert ask(store, NOW + 30) == {"id": 1, "again": True}
    assert ask(store, NOW + 30, hatched=37) == {"id": 2}
    assert ask(store, NOW + 3600) == {"id": 3}
    assert ask(store, NOW + 3601, lot="red") == {"id": 4}


def test_what_was_typed_twice_are_two_dishes_and_the_one_alike_is_named(store: WritingStore) -> None:
    assert ask(store, typed=True) == {"id": 1}
    assert ask(store, NOW + 5, typed=True) == {"id": 2, "like": 1}
    assert ask(store, NOW + 120) == {"id": 3, "like": 2}  # a form again two minutes later is no double tap
    assert ask(store, NOW + 3600, typed=True) == {"id": 4}


def test_a_test_may_be_told_later_with_when_it_was_counted(store: WritingStore) -> None:
    ask(store, at=NOW - 864_000)
    assert ask(store) == {"id": 2}  # as many then and now are two dishes
    assert [one.at for one in tin_tests.standing(store.connection, NOW)] == [NOW - 864_000, NOW]
    ask(store, at=NOW + 200, lot="red")  # a watch that is a little ahead
    assert tin_tests.standing(store.connection, NOW)[-1].at == NOW


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        ({"at": NOW + 7200}, "at: found a moment 2 hours ahead; allowed: now or earlier"),
        ({"at": "noon"}, "request: at: found 'noon'"),
        ({"lot": " "}, "lot: found ' '; allowed: one line without a semicolon, 1 to 80 characters"),
        ({"lot": "a;b"}, "lot: found 'a;b'"),
        ({"lot": "a\nb"}, "lot: found"),
        ({"lot": "x" * 81}, "lot: found"),
        ({"lot": None}, "request: lot: found nothing"),
        ({"put": 0}, "put: found 0; allowed: 1 to 10000 cysts"),
        ({"hatched": 51}, "hatched: found 51; allowed: 0 to 50 animals"),
        ({"put": "50"}, "request: put: found '50'"),
        ({"umbrella": 13}, "umbrella: found 13; allowed: 0 to 12 cysts"),
        ({"full_left": "4"}, "request: full_left: found '4'"),
        ({"hours": None}, "hours: found nothing; allowed: a number; a test is kept with hours and warmth"),
        ({"hours": True}, "hours: found"),
        ({"water_c": "25"}, "water_c: found '25'"),
        ({"water_c": 40}, "water_c: found 40; allowed: 4 to 33 °C"),
        ({"hours": float("nan")}, "hours: found nan"),
        (
            {"ask": "tin withdraw", "id": 7},
            "test 7: found none that stands; allowed: an id of 'naupliad lot list'",
        ),
        ({"ask": "tin withdraw", "id": 2**60}, "request: id: found"),
        ({"ask": "tin open"}, "request: found 'tin open'; allowed: tin keep, tin withdraw"),
    ],
)
def test_what_makes_no_sense_is_refused_in_one_line_and_nothing_is_kept(
    store: WritingStore, words: dict[str, Any], fault: str
) -> None:
    with pytest.raises(InputError) as refused:
        ask(store, **words)
    assert str(refused.value).startswith(fault)
    assert "\n" not in str(refused.value)
    assert store.connection.execute("SELECT count(*) FROM tin_test").fetchone() == (0,)


def test_what_was_withdrawn_cannot_be_withdrawn_again(store: WritingStore) -> None:
    ask(store)
    ask(store, ask="tin withdraw", id=1)
    with pytest.raises(InputError, match="found none that stands"):
        ask(store, ask="tin withdraw", id=1)


anything = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=100)),
    lambda inner: st.lists(inner, max_size=3),
    max_leaves=3,
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=150)
@given(
    st.dictionaries(
        st.sampled_from(
            ["lot", "put", "hatched", "hours", "water_c", "umbrella", "full_left", "id", "at", "typed"]
        ),
        anything,
    )
)
def test_whatever_a_program_asks_is_kept_whole_or_refused(store: WritingStore, words: dict[str, Any]) -> None:
    before = len(tin_tests.standing(store.connection, NOW))
    try:
        ask(store, **words)
    except InputError:
        assert len(tin_tests.standing(store.connection, NOW)) == before
