"""A log that one lasting fault cannot flood, measured in lines a day."""

import io
import logging
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.running.bounded_log import BoundedLog
from sensors.probe_bench import PatientBench
from sensors.reading import Measure, Reading
from tests.kit.units import settings

DAY_S = 86_400
LINES_A_DAY = 200
logs = logging.getLogger("naupliad.test")
ticks = st.lists(st.integers(1, 10_000), min_size=1, max_size=300)


class Journal:
    """Where the lines of a handler go; time is told."""

    def __init__(self) -> None:
        self.now = 0.0
        self.written = io.StringIO()
        self.handler = logging.StreamHandler(self.written)
        self.handler.addFilter(BoundedLog(lambda: self.now))

    def __enter__(self) -> "Journal":
        logging.getLogger().addHandler(self.handler)
        logging.getLogger().setLevel(logging.INFO)
        return self

    def __exit__(self, *_: object) -> None:
        logging.getLogger().removeHandler(self.handler)
        logging.getLogger().setLevel(logging.WARNING)

    @property
    def lines(self) -> list[str]:
        return self.written.getvalue().splitlines()

    def week(self, every_s: float, fault: Callable[[int], None]) -> float:
        """Seven days of a fault that shows every so often; the lines of a day, on average."""
        count = 0
        while self.now < 7 * DAY_S:
            fault(count)
            count += 1
            self.now += every_s
        print(f"every {every_s} s: {len(self.lines) / 7:.0f} of {count / 7:.0f} lines a day")  # noqa: T201 - with -s
        return len(self.lines) / 7


@pytest.mark.parametrize(
    "every_s", [*(pytest.param(s, marks=pytest.mark.long) for s in (5, 15, 60)), 300, 360, 720, 900, 3600]
)
def test_a_line_that_comes_again_and_again_for_a_week_takes_few_lines_a_day(every_s: int) -> None:
    with Journal() as journal:
        lines = journal.week(every_s, lambda n: logs.warning("letter %d did not go (mail): timed out", n))
    assert 1 <= lines <= LINES_A_DAY


@pytest.mark.long
def test_a_broker_that_takes_and_drops_the_line_again_and_again_takes_few_lines_a_day() -> None:
    """Two kinds of lines, in turn: what two clients of one name do to each other."""

    def fault(_: int) -> None:
        logs.info("mqtt: broker:1883 is reached")
        logs.warning("mqtt: broker:1883: the line is gone: Session taken over; it is tried again")

    with Journal() as journal:
        assert journal.week(10, fault) <= LINES_A_DAY


class Raising:
    """A probe that breaks its promise not to raise."""

    id = "cup-water"
    measures = Measure.WATER_C

    def read(self, at: int) -> Reading:
        raise RuntimeError(f"no such register, at {at}")

    def close(self) -> None:
        """Nothing is held."""


def test_a_probe_that_raises_at_every_beat_of_a_week_takes_few_lines_a_day_with_its_tracebacks() -> None:
    bench = PatientBench([Raising()], 5.0)
    with Journal() as journal:
        lines = journal.week(60, lambda n: [*bench.sample(60 * n)])  # type: ignore[func-returns-value]
    bench.close()
    assert any("Traceback" in line for line in journal.lines)
    assert lines <= LINES_A_DAY


def test_a_line_that_was_left_out_says_how_often_when_it_is_next_said() -> None:
    with Journal() as journal:
        for _ in range(120):
            logs.warning("the wall clock was moved by %d s", 7)
            journal.now += 60
    assert journal.lines[:10] == ["the wall clock was moved by 7 s"] * 10
    assert journal.lines[10:] == ["still, 51 times since it was last said: the wall clock was moved by 7 s"]


def test_lines_that_say_something_else_are_all_said() -> None:
    with Journal() as journal:
        for word in "abcdefghijklmnopqrstuvwxyz":
            logs.error('probe "cup-%s": not there', word)
    assert len(journal.lines) == 26


@given(ticks)
def test_a_fault_that_was_quiet_for_two_hours_is_said_at_once_and_none_more_often_than_it_came(
    pauses: list[int],
) -> None:
    with Journal() as journal:
        for pause_s in [3 * 3600, *pauses]:
            journal.now += pause_s
            before = len(journal.lines)
            logs.error("something")
            assert pause_s < 2 * 3600 or len(journal.lines) == before + 1
        told = journal.lines
    counted = sum(int(line.split()[1]) if line.startswith("still, ") else 1 for line in told)
    assert counted <= len(pauses) + 1


def test_the_unit_has_a_second_wall() -> None:
    assert settings("LogRateLimitIntervalSec") == ["1h"]
    assert int(settings("LogRateLimitBurst")[0]) >= LINES_A_DAY


def test_what_is_remembered_of_lines_is_bounded() -> None:
    with Journal() as journal:
        for _ in range(11):
            logs.error("first of all")
        assert len(journal.lines) == 10
        for place in range(600):
            logs.error("%s", "".join(chr(ord("a") + int(digit)) for digit in str(place)))
        logs.error("first of all")
    assert len(journal.lines) == 10 + 600 + 1
