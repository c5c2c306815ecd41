"""Boxes under way: never more than twenty, and each goes again after a pause that grows."""

from hypothesis import given
from hypothesis import strategies as st

from daemon.outside.record_window import MOST_UNDER_WAY, Window
from daemon.store.outbox import Owed


def boxes(*numbers: int) -> list[Owed]:
    return [Owed(n, "deed", n) for n in numbers]


def sent_again(window: Window, connection: int, until_s: int) -> list[int]:
    """The seconds at which box 1 goes again over one connection, asked each second."""
    return [now for now in range(1, until_s) if window.again(connection, now)]


def test_a_box_goes_again_after_a_minute_and_then_more_and_more_seldom() -> None:
    window = Window()
    window.again(1, 0)
    window.add(boxes(1), 0)
    times = sent_again(window, 1, 4000)
    pauses = [b - a for a, b in zip([0, *times], times, strict=False)]
    assert pauses == [60, 120, 240, 480, 900, 900, 900]


def test_over_a_new_connection_all_go_again_at_once() -> None:
    window = Window()
    window.again(1, 0)
    window.add(boxes(1, 2), 10)
    assert window.again(1, 69) == []
    assert window.again(2, 69) == boxes(1, 2)


def test_a_line_that_breaks_at_once_is_sent_to_once_a_minute() -> None:
    window = Window()
    window.add(boxes(1), 0)
    assert window.again(1, 100) == boxes(1)
    breaking = [now for now in range(101, 700) if window.again(now, now)]
    assert len(breaking) <= 10
    assert breaking[0] == 160


@given(st.lists(st.one_of(st.integers(1, 99), st.none()), max_size=60))
def test_there_are_never_more_than_twenty_and_what_is_dropped_is_not_sent(asked: list[int | None]) -> None:
    window = Window()
    for now, n in enumerate(asked):
        if n is None:
            window.drop(list(window.numbers)[:3])
        elif window.room:
            window.add(boxes(n), now)
        assert len(window.numbers) + window.room == MOST_UNDER_WAY == 20
        assert {box.n for box in window.again(now, now)} <= window.numbers
