"""State as a tree and back: the same to the last digit, and no code in between."""

import json
from array import array
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.watching.snapshot.codec import Codec, Unkept


class Colour(StrEnum):
    RED = "red"


@dataclass(frozen=True, slots=True)
class Point:
    x: float
    colour: Colour


class Thing:
    made = 0

    def __init__(self, value: object) -> None:
        Thing.made += 1
        self.value = value

    @cached_property
    def shown(self) -> str:
        return repr(self.value)


CLASSES = (Colour, Point, Thing)


def codec(classes: Iterable[type] = CLASSES, **given_things: object) -> Codec:
    return Codec(classes, given_things, {})


def there_and_back(state: object, **given_things: object) -> object:
    kept = codec(**given_things)
    return kept.state(json.loads(json.dumps(kept.tree(state))))


leaves = st.none() | st.booleans() | st.integers() | st.floats() | st.text() | st.just(Colour.RED)
points = st.builds(Point, st.floats(), st.just(Colour.RED))
arrays = st.lists(st.floats()).map(lambda some: array("d", some))
states = st.recursive(
    leaves | points | arrays,
    lambda some: (
        st.lists(some)
        | st.lists(some).map(tuple)
        | st.lists(some, max_size=4).map(lambda items: deque(items, maxlen=5))
        | st.dictionaries(st.text() | st.tuples(st.text(), st.integers()), some)
    ),
    max_leaves=20,
)


@given(states)
@settings(max_examples=100, deadline=None)
def test_what_is_read_is_what_was_kept_to_the_last_digit(state: object) -> None:
    # `repr` of a float is the shortest that reads back as the same (Python's documentation of float).
    assert repr(there_and_back(state)) == repr(state)


def test_what_was_one_object_is_one_again_and_what_was_given_is_what_is_given_now() -> None:
    row, calendar = [1.0], object()
    back = there_and_back([row, row, calendar, (calendar, row)], calendar=calendar)
    assert isinstance(back, list)
    assert back[0] is back[1] is back[3][1]
    assert back[2] is back[3][0] is calendar


def test_an_attribute_that_is_new_is_kept_by_itself_and_one_that_is_worked_out_is_not() -> None:
    thing = Thing(0.1)
    assert thing.shown == "0.1"
    thing.gained = (1, 2)  # type: ignore[attr-defined]
    back = there_and_back(thing)
    assert vars(back) == {"value": 0.1, "gained": (1, 2)}


def test_reading_runs_nothing_of_a_class() -> None:
    tree = codec().tree(Thing("x"))
    made = Thing.made
    assert isinstance(codec().state(tree), Thing)
    assert Thing.made == made


def test_what_is_of_no_allowed_class_is_not_kept() -> None:
    for state in (Thing, print, lambda: 0, object(), {1, 2}, b"bytes", array("l", [1]), 1j):
        with pytest.raises(Unkept, match="allowed: classes of state"):
            codec().tree([state])
    with pytest.raises(Unkept):
        codec((Point, Colour)).tree(Thing(1))


@pytest.mark.parametrize(
    "tree",
    [
        ["object", "Popen", {"args": "true"}],
        ["object", "Point", {"x": 1.0}],
        ["object", "Point", {"x": 1.0, "colour": "red", "more": 1}],
        ["object", "Thing", {"__class__": "int"}],
        ["object", "Colour", {}],
        ["enum", "Colour", "blue"],
        ["enum", "Point", "red"],
        ["given", "calendar"],
        ["met", 7],
        ["call", "print", []],
        ["dict", [["list"], 1]],
        ["deque", "long"],
        ["array"],
        ["array", "x"],
        ["array", "AAAA"],
        ["array", "AAAAAAAAAA\n=="],
        ["array", 5],
        [],
        [["list"]],
        {"plain": 1},
        ["list", {"plain": 1}],
    ],
)
def test_a_tree_that_is_none_of_ours_is_refused(tree: object) -> None:
    with pytest.raises(Unkept, match="allowed: what this program wrote"):
        codec().state(tree)
