"""Two that write at the same time: neither waits for the other for ever, and the newest is kept."""

import random
import threading
from typing import Any

import psycopg

from tests.kit.postgres import Cluster, needs_postgres, new_database
from tests.kit.told_boxes import HOUR, Told, alarm, deed, estimate, hour, take

pytestmark = needs_postgres
STATIONS = [f"k{number}" for number in range(6)]


def heaps(seed: int) -> list[list[Told]]:
    """The same boxes for every seed, in an order and in heaps of its own."""
    told: list[Told] = []
    for n in range(1, 9):
        for key in STATIONS:
            told += [(key, hour(n, HOUR + n % 2 * 3600, p=[float(n)])), (key, deed(n + 10, n % 2))]
            told += [(key, alarm(n + 20, n % 2, value=float(n))), (key, estimate(n + 30, x=[n, n, n]))]
    random.Random(seed).shuffle(told)
    return [told[i : i + 16] for i in range(0, len(told), 16)]


def test_two_that_store_the_same_boxes_in_other_orders_at_once_neither_stop_nor_mix_them(
    cluster: Cluster,
) -> None:
    dsn = cluster.dsn(new_database(cluster))
    together = threading.Barrier(2)
    wrong: list[BaseException] = []

    def store(seed: int) -> None:
        try:
            with psycopg.connect(dsn, options="-csearch_path=naupliad") as line:
                for heap in heaps(seed):
                    together.wait(60)
                    with line.transaction():
                        assert take(line, heap) == 0
        except BaseException as error:
            together.abort()
            wrong.append(error)

    both = [threading.Thread(target=store, args=(seed,)) for seed in (1, 2)]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert wrong == []

    def found(words: str) -> set[Any]:
        with psycopg.connect(dsn, options="-csearch_path=naupliad") as line:
            return {*line.execute(words.encode()).fetchall()}

    assert found("SELECT n, count(*) FROM hour GROUP BY n") == {(7, 6), (8, 6)}
    assert found("SELECT n, count(*) FROM deed GROUP BY n") == {(17, 6), (18, 6)}
    assert found("SELECT n, count(*) FROM alarm GROUP BY n") == {(27, 6), (28, 6)}
    assert found("SELECT value, count(*) FROM state GROUP BY value") == {(7.0, 6)}, "the later of two alarms"
    assert found("SELECT n, count(*) FROM estimate GROUP BY n") == {(38, 6)}
    assert found("SELECT last_n, count(*) FROM station GROUP BY last_n") == {(38, 6)}
