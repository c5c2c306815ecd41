"""What people and programs find in the database: views, months, and who may look."""

import psycopg
import pytest

from tests.kit.postgres import LOGIN, Cluster, needs_postgres, new_database
from tests.kit.told_boxes import HOUR, Line, alarm, deed, hour, letter, take

pytestmark = needs_postgres


def test_readings_come_out_with_their_own_seconds_and_qualities(empty: Line) -> None:
    every = hour(1, p=[20.0, None, 21.5])
    every["probes"]["q"] = {
        "measure": "light_lux",
        "vessel": None,
        "seconds": [0, 7, 3599],
        "values": [1, 2, 3],
        "quality": ["good", "in-air", "jump"],
    }
    take(empty, [("east", every)])
    seconds = f"extract(epoch from at)::bigint - {HOUR}"
    asked = f"SELECT probe, {seconds}, value, quality, vessel FROM reading ORDER BY 1, 2"
    rows = empty.execute(asked.encode()).fetchall()
    assert rows == [
        ("p", 5, 20.0, "good", "a"),
        ("p", 65, None, "good", "a"),
        ("p", 125, 21.5, "good", "a"),
        ("q", 0, 1.0, "good", None),
        ("q", 7, 2.0, "in-air", None),
        ("q", 3599, 3.0, "jump", None),
    ]


def test_help_is_needed_where_an_alarm_stands_or_letters_do_not_leave_and_the_worst_comes_first(
    empty: Line,
) -> None:
    empty.execute("INSERT INTO station (key, label) VALUES ('east', 'Room 12')")
    lamp = alarm(1, 1, "acknowledged", condition="lamp")
    take(empty, [("east", lamp), ("east", alarm(2, 2)), ("east", alarm(3, 3, "normal", condition="cold"))])
    take(empty, [("west", letter(1, 1, attempts=3)), ("west", letter(2, 2, attempts=2)), ("north", alarm(1))])
    empty.execute("UPDATE station SET retired_at = now() WHERE key = 'north'")
    rows = empty.execute(
        "SELECT key, label, condition, value FROM needs_help ORDER BY urgency, since"
    ).fetchall()
    assert rows == [
        ("east", "Room 12", "hot", 31.0),
        ("west", None, "post", 1.0),
        ("east", "Room 12", "lamp", 31.0),
    ]


def test_an_alarm_of_a_card_that_died_stands_no_longer_once_the_new_one_has_told(empty: Line) -> None:
    take(empty, [("east", alarm(1, store=5)), ("east", deed(2, store=5))])
    assert empty.execute("SELECT condition FROM needs_help").fetchall() == [("hot",)]
    take(empty, [("east", deed(10, store=6, amount=2.0))])
    assert empty.execute("SELECT condition FROM needs_help").fetchall() == []
    kept = empty.execute("SELECT store, amount FROM deed ORDER BY store").fetchall()
    assert kept == [(5, 0.5), (6, 2.0)], "what the first card told is not overwritten"


def test_the_last_of_an_alarm_is_by_its_moment_and_not_by_when_it_was_told(empty: Line) -> None:
    last = "SELECT store, id, state FROM state"
    take(empty, [("east", alarm(1, 1)), ("east", alarm(2, 2, "normal"))])
    take(empty, [("east", alarm(3, 1, value=32.0))])  # a correction of the first
    assert empty.execute(last).fetchall() == [(0, 2, "normal")]
    take(empty, [("east", {"v": 1, "n": 4, "kind": "alarm", "id": 2, "gone": True})])
    assert empty.execute(last).fetchall() == [(0, 1, "unacknowledged")]
    take(empty, [("east", alarm(5, 1, "normal", store=7, at=HOUR - 3600))])  # of a new card, its clock behind
    assert empty.execute(last).fetchall() == [(7, 1, "normal")]


def test_who_has_told_nothing_for_three_hours_is_silent_and_who_never_told_is_too(empty: Line) -> None:
    take(empty, [("east", deed(1)), ("west", deed(1))])
    empty.execute("INSERT INTO station (key) VALUES ('north')")
    empty.execute("UPDATE station SET last_heard = now() - interval '4 hours' WHERE key = 'west'")
    assert empty.execute("SELECT key FROM silent ORDER BY key").fetchall() == [("north",), ("west",)]
    take(empty, [("north", deed(1))])
    assert empty.execute("SELECT key FROM silent").fetchall() == [("west",)]


def test_months_are_made_ahead_and_take_along_what_lay_in_none(empty: Line) -> None:
    where = "SELECT tableoid::regclass::text, n FROM hour ORDER BY n"
    month = "date_trunc('month', now() AT TIME ZONE 'UTC') + interval '5 months'"
    asked = f"SELECT extract(epoch from {month})::bigint, to_char({month}, 'YYYY_MM')"
    far = empty.execute(asked.encode()).fetchone()
    assert far is not None
    at, name = int(far[0]), far[1]
    take(empty, [("east", hour(1, at, p=[1.0])), ("east", hour(2, 0, p=[2.0]))])
    assert empty.execute(where).fetchall() == [("hour_other", 1), ("hour_other", 2)]
    assert empty.execute("SELECT make_months(5)").fetchone() == (4,), "two months more, of two tables"
    assert empty.execute("SELECT make_months(5)").fetchone() == (0,)
    assert empty.execute(where).fetchall() == [(f"hour_{name}", 1), ("hour_other", 2)]
    take(empty, [("east", hour(3, at, p=[3.0]))])
    assert empty.execute(where).fetchall() == [("hour_other", 2), (f"hour_{name}", 3)]


def test_a_gatherer_may_store_and_read_no_record_and_a_reader_may_read_and_store_nothing(
    cluster: Cluster,
) -> None:
    name = new_database(cluster)
    with psycopg.connect(
        cluster.dsn(name, LOGIN), autocommit=True, options="-csearch_path=naupliad"
    ) as gatherer:
        assert take(gatherer, [("east", deed(1))]) == 0
        for words in (
            "SELECT * FROM deed",
            "DELETE FROM station",
            "SELECT take_all('{}', '{}')",
            "SELECT take_again()",
        ):
            with pytest.raises(psycopg.errors.InsufficientPrivilege):
                gatherer.execute(words.encode())
    with psycopg.connect(cluster.dsn(name), autocommit=True, options="-csearch_path=naupliad") as reader:
        reader.execute("SET ROLE naupliad_reader")
        for view in ("reading", "belief", "needs_help", "silent", "refusal", "deed"):
            reader.execute(f"SELECT * FROM {view}".encode())
        for words in ("SELECT take('{}', '{}')", "SELECT payload FROM refused", "DELETE FROM deed"):
            with pytest.raises(psycopg.errors.InsufficientPrivilege):
                reader.execute(words.encode())
