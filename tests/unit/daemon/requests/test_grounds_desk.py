"""What the numbers rest on can be asked of a running daemon, and is the same as the command computes anew."""

import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.assembly import assemble
from daemon.care.deed import Deed
from daemon.errors import InputError
from daemon.estimates.grounds import Grounds
from daemon.estimates.quantile import Estimate
from daemon.letters.explanation import as_records
from daemon.requests.grounds_desk import GroundsDesk
from daemon.requests.grounds_words import grounds_read
from daemon.store import deeds as deed_store
from daemon.store import readings as reading_store
from daemon.store.file import WritingStore
from daemon.watching.beliefs import Beliefs
from sensors.reading import Quality, Reading
from tests.kit.station import station

STATION = station(every_s=600)
BEGAN, HOUR = 1_806_000_000, 3600
NOW = BEGAN + 60 * HOUR


@pytest.fixture
def store(tmp_path: Path) -> Iterator[WritingStore]:
    store = WritingStore(tmp_path, durable=False)
    with store.transaction() as connection:
        set_ = {"salt_g_per_l": 25.0, "lot": "spring"}
        deed_store.add(connection, Deed(BEGAN, "cup", "set", 0.05, set_), BEGAN)
        filled = Deed(BEGAN + 40 * HOUR, "cup", "top-up", 12.0, {"to": "mark"})
        deed_store.add(connection, filled, filled.at)
        for at in range(BEGAN, NOW, 600):
            reading_store.add(connection, [Reading(at, "cup-water", 23.0 + at % 7 / 10, Quality.GOOD)])
    yield store
    store.close()


def asked(store: WritingStore, **words: Any) -> dict[str, Any]:
    """By the way the inbox takes it: JSON out, JSON back."""
    desk = assemble(STATION, store.connection, NOW).requests
    answer = desk.answer({"ask": "grounds", **words}, NOW)
    return dict(json.loads(json.dumps(answer, allow_nan=False)))


def test_the_daemon_says_the_same_as_the_command_that_computes_anew(store: WritingStore) -> None:
    said = as_records(STATION, grounds_read(asked(store, vessel="cup")))
    assert [one.model for one in said] == ["water", "salt", "hatch", "warmth"]
    assert said == as_records(STATION, Beliefs(STATION, store.connection, NOW).of("cup").grounds(NOW))
    assert [(one.kind, one.count) for one in said[0].observations] == [("top-up", 1)]


def test_asking_changes_nothing(store: WritingStore) -> None:
    desk = assemble(STATION, store.connection, NOW).requests
    before = store.connection.total_changes
    assert desk.ready({"ask": "grounds", "vessel": "cup"}, NOW)
    desk.answer({"ask": "grounds", "vessel": "cup"}, NOW)
    assert store.connection.total_changes == before


def test_where_no_batch_runs_there_are_none(store: WritingStore) -> None:
    deed_store.add(store.connection, Deed(NOW - HOUR, "cup", "end"), NOW)
    assert grounds_read(asked(store, vessel="cup")) == []


@pytest.mark.parametrize("words", [{}, {"vessel": "mug"}, {"vessel": 7}, {"vessel": "cup\x00"}])
def test_a_vessel_that_is_none_is_refused_by_name(store: WritingStore, words: dict[str, Any]) -> None:
    with pytest.raises(InputError, match=r"^(vessel: found .*; allowed: cup|request: vessel: .*a text)$"):
        asked(store, **words)


def test_a_number_that_json_does_not_have_is_left_out(
    store: WritingStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An answer that JSON cannot hold would end the beat that gives it."""
    knowns = {"k": Estimate(0.5, 0.6, 0.7), "salt_g": Estimate(1.0, 2.0, math.inf)}
    odd = Grounds("water", ("loss_ml",), BEGAN, NOW, 1.0, 0.0, (), knowns)
    beliefs = Beliefs(STATION, store.connection, NOW)
    monkeypatch.setattr(type(beliefs.of("cup")), "grounds", lambda _self, _at: [odd])
    answer = GroundsDesk(STATION, beliefs).answer({"vessel": "cup"}, NOW)
    (said,) = grounds_read(json.loads(json.dumps(answer)))
    assert dict(said.knowns) == {"k": Estimate(0.5, 0.6, 0.7)}


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
)
WELL: dict[str, Any] = {
    "model": "water",
    "quantities": ["loss_ml"],
    "since": BEGAN,
    "until": NOW,
    "read_h": 1.0,
    "unread_h": 0.0,
    "lessons": [["top-up", 1, BEGAN]],
    "knowns": {"k": [0.5, 0.6, 0.7]},
}


@given(
    st.one_of(
        JSON,
        st.lists(JSON, max_size=2),
        st.builds(lambda field, odd: [{**WELL, field: odd}], st.sampled_from(sorted(WELL)), JSON),
        st.builds(lambda odd: [{**WELL, "lessons": [["top-up", odd, BEGAN]]}], JSON),
        st.builds(lambda odd: [{**WELL, "knowns": {"k": [0.5, 0.6, odd]}}], JSON),
    )
)
def test_an_answer_of_another_kind_is_one_line_and_no_crash(found: Any) -> None:
    try:
        read, said = grounds_read({"grounds": found}), ""
    except InputError as error:
        read, said = [], str(error)
    assert said in ("", "grounds: found an answer of another version; start the daemon anew")
    assert all(isinstance(one, Grounds) for one in read)
