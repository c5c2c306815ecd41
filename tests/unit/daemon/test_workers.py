"""Slow work is done elsewhere and told in the beat's own thread."""

import threading

import pytest

from daemon.workers import InlineWorkers, ThreadWorkers, WorkerDied

GUARD_S = 20.0


def test_work_done_inline_is_told_at_once_with_its_error() -> None:
    told: list[object] = []
    room = InlineWorkers()
    room.submit(lambda: 7, lambda result, error: told.append((result, error)))
    room.submit(lambda: 1 // 0, lambda result, error: told.append((result, type(error))))
    assert told == [(7, None), (None, ZeroDivisionError)]


def test_work_done_in_the_thread_is_told_only_when_it_is_settled_and_by_the_settling_thread() -> None:
    wake, told = threading.Event(), []
    room = ThreadWorkers(wake)
    room.submit(threading.get_ident, lambda result, _error: told.append((result, threading.get_ident())))
    assert wake.wait(GUARD_S)
    assert told == []
    room.settle()
    worker, teller = told[0]
    assert teller == threading.get_ident() != worker
    room.close(GUARD_S)


def test_work_comes_one_at_a_time_and_in_order() -> None:
    room, order = ThreadWorkers(threading.Event()), []
    for number in range(20):
        room.submit(lambda number=number: number, lambda result, _error: order.append(result))
    room.close(GUARD_S)
    assert order == list(range(20))


def test_work_that_hangs_holds_up_neither_the_beat_nor_the_end() -> None:
    room, never = ThreadWorkers(threading.Event()), threading.Event()
    room.submit(never.wait, lambda _result, _error: None)
    room.settle()
    room.close(patience_s=0.0)
    never.set()


def test_a_thread_that_is_gone_is_noticed_at_the_next_beat() -> None:
    room = ThreadWorkers(threading.Event())
    room.close(GUARD_S)
    with pytest.raises(WorkerDied, match="started anew"):
        room.settle()


def test_a_lane_that_hangs_holds_up_no_other() -> None:
    wake, never, told = threading.Event(), threading.Event(), []
    room = ThreadWorkers(wake)
    room.submit(never.wait, lambda _result, _error: None, lane="webhook")
    room.submit(lambda: "taken", lambda result, _error: told.append(result), lane="mail")
    assert wake.wait(GUARD_S)
    room.settle()
    assert told == ["taken"]
    never.set()
    room.close(GUARD_S)
