"""The writing, as PostgreSQL does it: the newest number wins in any order, and a bad box holds nothing up."""

import json
from collections.abc import Mapping, Sequence
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.kit.postgres import needs_postgres
from tests.kit.told_boxes import HOUR, Line, Told, alarm, deed, estimate, hour, letter, take

pytestmark = needs_postgres


STATES = ("unacknowledged", "acknowledged", "normal", "returned to normal unacknowledged")
VALUES = st.lists(st.none() | st.sampled_from([19.5, 24.0, 31.25]), min_size=1, max_size=4)
SOME_ID, SOME_STORE = st.integers(1, 2), st.sampled_from([0, 0, 0, 1])
SOME_HOUR = st.sampled_from([HOUR, HOUR + 3600, HOUR - 400 * 86_400])
N = 0  # given when all are known
BOXES = {
    "hour": st.builds(
        lambda at, probes: hour(N, at, **probes), SOME_HOUR, st.dictionaries(st.sampled_from("pq"), VALUES)
    ),
    "deed": st.builds(
        lambda its_id, store, moment, withdrawn, gone: deed(
            N, its_id, store=store, at=moment, withdrawn_at=withdrawn, **({"gone": True} if gone else {})
        ),
        SOME_ID, SOME_STORE, SOME_HOUR, st.none() | st.just(HOUR), st.booleans(),
    ),
    "alarm": st.builds(
        lambda its_id, store, state, vessel, moment, gone: alarm(
            N, its_id, state, store=store, vessel=vessel, at=moment
        )
        if not gone
        else {"v": 1, "n": N, "kind": "alarm", "id": its_id, "store": store, "gone": True},
        SOME_ID, SOME_STORE, st.sampled_from(STATES), st.sampled_from("aab"), SOME_HOUR,
        st.sampled_from([False, False, True]),
    ),
    "letter": st.builds(lambda its_id, attempts: letter(N, its_id, attempts), SOME_ID, st.integers(0, 4)),
    "estimate": st.builds(
        lambda at, level: estimate(N, at, **level),
        SOME_HOUR,
        st.dictionaries(st.just("x"), st.just([1, 2, 3])),
    ),
}  # fmt: skip


@st.composite
def histories(draw: st.DrawFn) -> tuple[list[Told], list[list[Told]]]:
    """What two stations told, in the order of its numbers; and as it came: in any order, doubled."""
    boxes = st.one_of(*BOXES.values()) if draw(st.booleans()) else BOXES[draw(st.sampled_from([*BOXES]))]
    told = [
        (draw(st.sampled_from(["east", "east", "west"])), {**box, "n": n})
        for n, box in enumerate(draw(st.lists(boxes, min_size=4, max_size=12)), 1)
    ]
    came = draw(st.permutations([*told, *draw(st.lists(st.sampled_from(told), max_size=6))]))
    size = draw(st.integers(1, 4))
    return told, [came[i : i + size] for i in range(0, len(came), size)]


def newest(told: Sequence[Told], kind: str) -> dict[tuple[Any, ...], Mapping[str, Any]]:
    """By station and key: the box with the highest number."""
    found: dict[tuple[Any, ...], Mapping[str, Any]] = {}
    for key, box in told:  # in the order of numbers
        if box["kind"] == kind:
            found[(key, *((box.get("store", 0), box["id"]) if "id" in box else (box["at"],)))] = box
    return found


def model(told: Sequence[Told]) -> dict[str, Any]:
    """What the tables must hold, by another way than theirs."""
    states: dict[tuple[str, ...], tuple[Any, ...]] = {}
    for (key, store, number), box in newest(told, "alarm").items():
        if "gone" not in box:
            about = (key, box["vessel"], box["condition"], box["probe"])
            states[about] = max(states.get(about, ()), (store, box["at"], number, box["n"], box["state"]))
    return {
        "hour_box": {(*about, box["n"]) for about, box in newest(told, "hour").items()},
        "hour": {
            (*about, probe, box["n"], *said["values"])
            for about, box in newest(told, "hour").items()
            for probe, said in box["probes"].items()
        },
        "deed": {
            (
                *about,
                box["n"],
                None if "gone" in box else box["at"],
                None if "gone" in box else box["withdrawn_at"],
            )
            for about, box in newest(told, "deed").items()
        },
        "alarm": {(*about, box["n"], box.get("state")) for about, box in newest(told, "alarm").items()},
        "state": {(*about, *last) for about, last in states.items()},
        "letter": {
            (*about, box["n"], box["deliveries"][0]["attempts"])
            for about, box in newest(told, "letter").items()
        },
        "estimate": {
            (*about, box["n"], bool(box["vessels"])) for about, box in newest(told, "estimate").items()
        },
    }


def tables(line: Line) -> dict[str, Any]:
    at = "extract(epoch from {}at)::bigint".format
    asked = {
        "hour_box": f"key, {at('')}, n",
        "hour": f"key, {at('')}, probe, n, value",
        "deed": f"key, t.store, id, n, {at('')}, {at('withdrawn_')}",
        "alarm": "key, t.store, id, n, state",
        "state": f"key, vessel, condition, probe, t.store, {at('')}, id, n, state",
        "letter": "key, t.store, id, n, attempts",
        "estimate": f"key, {at('')}, n, vessels <> '{{}}'",
    }
    found: dict[str, Any] = {}
    for table, columns in asked.items():
        rows = line.execute(
            f"SELECT {columns} FROM {table} AS t JOIN station USING (station)".encode()
        ).fetchall()
        found[table] = {
            tuple(part for value in row for part in (value if isinstance(value, list) else [value]))
            for row in rows
        }
        assert len(found[table]) == len(rows)
    return found


@settings(max_examples=70)
@given(histories())
def test_in_whatever_order_and_however_often_boxes_come_the_newest_of_each_is_kept(
    line: Line, history: tuple[list[Told], list[list[Told]]]
) -> None:
    told, came = history
    try:
        assert [take(line, heap) for heap in came] == [0] * len(came)
        # A deed that is gone keeps its number and nothing else.
        assert tables(line) == model(told)
    finally:
        line.rollback()


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**63), 2**63 - 1) | st.sampled_from([1e300, -1e-300, 0.5])
    | st.sampled_from(["", "NaN", "null", "Infinity", "1,2", "{", "x" * 3000, "2026-01-01", "true", "é"]),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(st.sampled_from(["p", "values", "a"]), inner, max_size=2),
    max_leaves=6,
)  # fmt: skip
GOOD = (hour(7, p=[20.0]), deed(7), alarm(7), letter(7), estimate(7, x=[1, 2, 3]))


@st.composite
def spoiled(draw: st.DrawFn) -> dict[str, Any]:
    box = {**draw(st.sampled_from(GOOD))}
    if box["kind"] == "hour" and draw(st.booleans()):
        said = {
            **box["probes"]["p"],
            draw(st.sampled_from(["values", "quality", "first", "seconds", "vessel"])): draw(JSON),
        }
        return {**box, "probes": {"p": said}}
    for name in draw(st.lists(st.sampled_from(sorted(box)), min_size=1, max_size=2)):
        box[name] = draw(JSON)
    return box


@settings(max_examples=80)
@given(st.lists(st.tuples(st.sampled_from(["east", "no key!", ""]), spoiled()), min_size=1, max_size=4))
def test_boxes_of_any_shape_hold_up_none_beside_them(line: Line, bad: list[Told]) -> None:
    try:
        refused = take(line, [*bad, ("west", deed(1)), ("west", hour(2, p=[20.0]))])
        kept = line.execute(
            "SELECT count(*) FROM deed JOIN station USING (station) WHERE key = 'west'"
        ).fetchone()
        assert kept == (1,)
        assert line.execute("SELECT count(*) FROM refused").fetchone() == (refused,)
        for view in ("reading", "belief", "needs_help", "silent", "refusal"):
            line.execute(f"SELECT * FROM {view}".encode()).fetchall()
    finally:
        line.rollback()


@pytest.mark.parametrize(
    ("box", "reason"),
    [
        ({**deed(1), "v": 2}, "with v 2"),
        ({**deed(1), "kind": "wish"}, "kind: found wish"),
        ({**deed(1), "at": None}, "violates check constraint"),
        ({**deed(1), "detail": []}, "violates check constraint"),
        ({**hour(1, p=[1.0]), "at": HOUR + 1}, "allowed: the begin of an hour"),
        ({**hour(1), "probes": None}, "jsonb_each"),
        (hour(1, p=[]), "violates check constraint"),
        (hour(1, p=[1e12]), "violates check constraint"),
        (hour(1, p=["NaN"]), "violates check constraint"),  # type: ignore[list-item]
        (hour(1, p=[[1.0], [2.0]]), "violates check constraint"),  # type: ignore[list-item]
        (estimate(1, x=[1, 2]), "violates check constraint"),
        (estimate(1, x=[1, 2, "3"]), "violates check constraint"),  # type: ignore[list-item]
    ],
)
def test_what_cannot_be_kept_is_set_aside_with_the_reason(
    empty: Line, box: dict[str, Any], reason: str
) -> None:
    assert take(empty, [("east", box), ("east", deed(9))]) == 1
    rows = empty.execute("SELECT key, reason, box FROM refused").fetchall()
    assert [(key, found) for key, _, found in rows] == [("east", box)]
    assert reason in rows[0][1]
    assert empty.execute("SELECT id FROM deed").fetchall() == [(1,)]


def test_a_number_that_no_view_could_show_is_refused(empty: Line) -> None:
    box = json.dumps(estimate(1, x=[1, 2, 3])).replace("[1, 2, 3]", "[1, 2, 1e400]")
    assert empty.execute("SELECT take(ARRAY['east'], ARRAY[%s]::jsonb[])", (box,)).fetchone() == (1,)
    assert take(empty, [("east", deed(2, at=10**12)), ("east", {**hour(3, p=[1.0]), "every_s": 10**9})]) == 2


def test_what_was_refused_is_tried_once_more_when_the_database_has_learned(empty: Line) -> None:
    take(empty, [("east", {**deed(1), "kind": "wish"}), ("east", {**deed(2, 2), "unit": "x" * 201})])
    empty.execute("ALTER TABLE deed DROP CONSTRAINT deed_unit_check")
    assert empty.execute("SELECT take_again()").fetchone() == (1,)
    assert empty.execute("SELECT box->>'kind' FROM refused").fetchall() == [("wish",)]
    assert empty.execute("SELECT id FROM deed").fetchall() == [(2,)]


def test_a_station_that_says_nothing_readable_is_known_all_the_same(empty: Line) -> None:
    empty.execute("SELECT refuse('east', 'n', '\\x00', NULL)")
    assert empty.execute("SELECT key, last_heard IS NULL FROM station").fetchall() == [("east", False)]


def test_a_station_whose_boxes_are_all_bad_fills_no_disk(empty: Line) -> None:
    empty.execute("SELECT refuse('east', 'n', '\\x00', NULL) FROM generate_series(1, 1100)")
    empty.execute("SELECT refuse('west', 'n', '\\x00', NULL)")
    rows = empty.execute(
        "SELECT key, count(*), max(id) - min(id) FROM refused GROUP BY key ORDER BY key"
    ).fetchall()
    assert rows == [("east", 1000, 999), ("west", 1, 0)]
