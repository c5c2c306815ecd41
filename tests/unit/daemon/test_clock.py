"""Played time jumps where real time waits; the loop waits for the earlier of beat and job in both."""

import threading
from math import inf, isfinite

import pytest

from daemon.beat import Listener, Loop
from daemon.clock import PlayedClock
from daemon.clock_keeper import Keeper


class Diary:
    """A household that writes down when it was called, with a job or none."""

    def __init__(self, stop_after: int = 10**9, job_s: float = inf) -> None:
        self.beats: list[int] = []
        self.jobs: list[int] = []
        self.job_s = job_s
        self.steps: list[int] = []
        self.loop: Loop | None = None
        self.stop_after = stop_after

    def beat(self, at: int) -> None:
        self.beats.append(at)
        self.do_job(at)
        if len(self.beats) == self.stop_after and self.loop:
            self.loop.stop()

    def between(self, at: int) -> None:
        assert isfinite(self.job_s), "played time is never woken"
        self.do_job(at)

    def do_job(self, at: int) -> None:
        if at >= self.job_s:
            self.jobs.append(at)
            self.job_s = inf

    def clock_stepped(self, at: int) -> None:
        self.steps.append(at)


class SteppingClock(PlayedClock):
    """A played clock whose wall time is moved once, as by a time service, while monotonic time goes on."""

    def __init__(self, began: int, at_monotonic_s: int, step_s: int) -> None:
        super().__init__(began)
        self._step = (at_monotonic_s, step_s)

    def now_s(self) -> int:
        after, step_s = self._step
        return super().now_s() + (step_s if self.monotonic_s() >= after else 0)


def beats(
    clock: PlayedClock, until: int | None, every_s: int = 60, stop_after: int = 10**9, job_s: float = inf
) -> Diary:
    diary = Diary(stop_after, job_s)
    diary.loop = Loop(diary, clock, every_s, threading.Event(), next_job_s=lambda: diary.job_s, until_s=until)
    diary.loop.run()
    return diary


def test_beats_come_at_the_rhythm_until_the_time_is_up() -> None:
    assert beats(PlayedClock(1000), 1180).beats == [1000, 1060, 1120, 1180]


def test_a_stretch_when_the_station_was_off_is_jumped_over_to_its_end() -> None:
    assert beats(PlayedClock(1000, [(1070, 5007)]), 5100).beats == [1000, 1060, 5007, 5067]


def test_the_loop_ends_after_the_beat_in_which_it_is_told_to() -> None:
    assert beats(PlayedClock(0), None, stop_after=3).beats == [0, 60, 120]


def test_a_step_of_the_wall_clock_is_told_once_and_the_rhythm_goes_on() -> None:
    diary = beats(SteppingClock(100_000, at_monotonic_s=120, step_s=-3600), None, stop_after=5)
    assert diary.steps == [96_520]
    assert diary.beats == [100_000, 100_060, 96_520, 96_580, 96_640]


def test_a_slewed_clock_is_no_step() -> None:
    assert beats(SteppingClock(0, at_monotonic_s=60, step_s=4), None, stop_after=4).steps == []


class Woken(PlayedClock):
    """A played clock that somebody wakes once on the way to each moment."""

    def __init__(self, began: int) -> None:
        super().__init__(began)
        self._woken = False

    def wait(self, until_monotonic_s: float, wake: threading.Event) -> bool:
        self._woken = not self._woken
        return not self._woken and super().wait(until_monotonic_s, wake)


class Heard(Diary):
    """A household with two listeners, who tell in which order all of it was; its last beat fails."""

    def __init__(self, fails_at: int) -> None:
        super().__init__()
        self.lines: list[str] = []
        self.fails_at = fails_at

    def beat(self, at: int) -> None:
        if at == self.fails_at:
            raise RuntimeError("the disk is full")
        self.lines.append(f"beat {at}")

    def between(self, at: int) -> None:
        self.lines.append(f"between {at}")

    def listener(self, name: str) -> Listener:
        return Listener(
            lambda at: self.lines.append(f"{name} after beat {at}"),
            lambda at: self.lines.append(f"{name} after between {at}"),
        )


def test_listeners_hear_in_their_order_of_what_was_done_and_of_a_beat_that_failed_not_at_all() -> None:
    house = Heard(fails_at=60)
    beats_only = Listener(lambda at: house.lines.append(f"second after beat {at}"))
    listeners = [house.listener("first"), beats_only]
    with pytest.raises(RuntimeError):
        Loop(
            house, Woken(0), 60, threading.Event(), next_job_s=lambda: inf, until_s=60, listeners=listeners
        ).run()
    assert house.lines == [
        "beat 0",
        "first after beat 0",
        "second after beat 0",
        "between 0",
        "first after between 0",
    ]


def test_a_listener_that_fails_ends_the_loop_and_those_behind_it_hear_nothing() -> None:
    def fails(_at: int) -> None:
        raise RuntimeError("the disk is full")

    house = Heard(fails_at=-1)
    listeners = [house.listener("first"), Listener(fails), house.listener("third")]
    with pytest.raises(RuntimeError):
        Loop(
            house, Woken(0), 60, threading.Event(), next_job_s=lambda: inf, until_s=60, listeners=listeners
        ).run()
    assert house.lines == ["beat 0", "first after beat 0"]


def test_a_job_that_is_due_between_two_beats_is_done_at_its_second_and_the_rhythm_goes_on() -> None:
    diary = beats(PlayedClock(1000), 1180, job_s=1077)
    assert diary.jobs == [1077]
    assert diary.beats == [1000, 1060, 1120, 1180]


def test_a_job_that_is_due_with_a_beat_is_left_to_the_beat() -> None:
    class OnlyBeats(Diary):
        def between(self, at: int) -> None:
            raise AssertionError("the beat does it")

    diary = OnlyBeats(job_s=1120)
    Loop(diary, PlayedClock(1000), 60, threading.Event(), next_job_s=lambda: diary.job_s, until_s=1180).run()
    assert diary.jobs == [1120]


def test_a_job_that_came_due_while_the_station_was_off_is_done_at_the_first_beat() -> None:
    diary = beats(PlayedClock(1000, [(1070, 5007)]), 5100, job_s=1077)
    assert diary.jobs == [5007]
    assert diary.beats == [1000, 1060, 5007, 5067]


@pytest.mark.parametrize("step_s", [-600, -3])
@pytest.mark.parametrize("after_s", [120, 125])
def test_a_job_waits_for_its_wall_time_when_the_clock_is_put_back(after_s: int, step_s: int) -> None:
    diary = beats(SteppingClock(100_000, after_s, step_s), None, stop_after=14, job_s=100_130)
    assert diary.jobs == [100_130]
    assert len(diary.beats) == 14


def test_a_job_that_a_beat_has_made_overdue_is_done_at_once_and_no_time_comes_twice() -> None:
    class Late(Diary):
        def beat(self, at: int) -> None:
            super().beat(at)
            if at == 1060:
                self.job_s = at - 30

    diary = Late(job_s=1000)
    Loop(diary, PlayedClock(1000), 60, threading.Event(), next_job_s=lambda: diary.job_s, until_s=1180).run()
    assert diary.jobs == [1000, 1060]
    assert diary.beats == [1000, 1060, 1120, 1180]


class FineClock:
    """A clock whose wall time is a part of a second past the full one when a beat comes."""

    def __init__(self, wall_s: float) -> None:
        self.wall_s, self.gone_s = wall_s, 0.0

    def now_s(self) -> int:
        return int(self.wall_s + self.gone_s)

    def monotonic_s(self) -> float:
        return self.gone_s

    def keeper(self) -> Keeper:
        return Keeper.NETWORK

    def boot(self) -> str:
        return "fine"

    def wait(self, until_monotonic_s: float, wake: threading.Event) -> bool:
        if wake.is_set():
            return False
        self.gone_s = max(self.gone_s, until_monotonic_s)
        return True


@pytest.mark.parametrize("part", [0.0, 0.001, 0.5, 0.999])
def test_a_job_is_done_in_its_very_second_whatever_part_of_one_the_beats_keep_to(part: float) -> None:
    diary = Diary(stop_after=3, job_s=1077)
    loop = Loop(diary, FineClock(1000 + part), 60, threading.Event(), next_job_s=lambda: diary.job_s)
    diary.loop = loop
    loop.run()
    assert diary.jobs == [1077]
    assert diary.beats == [1000, 1060, 1120]
