"""Played time jumps where real time waits."""

import threading

import pytest

from daemon.beat import Listener, Loop
from daemon.clock import PlayedClock


class Diary:
    """A household that writes down when it was called."""

    def __init__(self, stop_after: int = 10**9) -> None:
        self.beats: list[int] = []
        self.steps: list[int] = []
        self.loop: Loop | None = None
        self.stop_after = stop_after

    def beat(self, at: int) -> None:
        self.beats.append(at)
        if len(self.beats) == self.stop_after and self.loop:
            self.loop.stop()

    def between(self, at: int) -> None:
        raise AssertionError("played time is never woken")

    def clock_stepped(self, at: int, step_s: int) -> None:
        self.steps.append(step_s)


class SteppingClock(PlayedClock):
    """A played clock whose wall time is moved once, as by a time service, while monotonic time goes on."""

    def __init__(self, began: int, at_monotonic_s: int, step_s: int) -> None:
        super().__init__(began)
        self._step = (at_monotonic_s, step_s)

    def now_s(self) -> int:
        after, step_s = self._step
        return super().now_s() + (step_s if self.monotonic_s() >= after else 0)


def beats(clock: PlayedClock, until: int | None, every_s: int = 60, stop_after: int = 10**9) -> Diary:
    diary = Diary(stop_after)
    diary.loop = Loop(diary, clock, every_s, threading.Event(), until_s=until)
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
    assert diary.steps == [-3600]
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
        Loop(house, Woken(0), 60, threading.Event(), until_s=60, listeners=listeners).run()
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
        Loop(house, Woken(0), 60, threading.Event(), until_s=60, listeners=listeners).run()
    assert house.lines == ["beat 0", "first after beat 0"]
