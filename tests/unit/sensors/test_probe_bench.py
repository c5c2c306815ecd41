"""Reading all probes of a station, also when one of them hangs for ever."""

import logging
import shutil
import signal
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from sensors.kernel_channels import HwmonChannel
from sensors.probe_bench import InlineBench, PatientBench
from sensors.reading import Measure, Probe, Quality, Reading

LONG_S = 60.0  # never waited out: every wait below ends by an event


class Told:
    """A probe whose value is how often it was read."""

    measures = Measure.WATER_C

    def __init__(self, id: str) -> None:  # noqa: A002 - the Probe protocol's word
        self.id = id
        self.closed = threading.Event()
        self.asked_at: list[int] = []

    def read(self, at: int) -> Reading:
        self.asked_at.append(at)
        return Reading(at, self.id, float(len(self.asked_at)), Quality.GOOD)

    def close(self) -> None:
        self.closed.set()


class Hanging(Told):
    """A probe whose reads hang until they are released."""

    def __init__(self, id: str) -> None:  # noqa: A002 - the Probe protocol's word
        super().__init__(id)
        self.hangs = threading.Event()
        self.release = threading.Event()

    def read(self, at: int) -> Reading:
        reading = super().read(at)
        self.hangs.set()
        assert self.release.wait(LONG_S)
        return reading


class Patience:
    """Waits as told: for the beat's end, or until something else has come to pass, and then gives up."""

    def __init__(self) -> None:
        self.gives_up_after: Callable[[], object] | None = None
        self.asked_s: list[float] = []

    def __call__(self, finished: threading.Event, patience_s: float) -> bool:
        self.asked_s.append(patience_s)
        if self.gives_up_after is None:
            return finished.wait(LONG_S)
        self.gives_up_after()
        return False


@pytest.fixture
def patience() -> Patience:
    return Patience()


@pytest.fixture
def hanging() -> Iterator[Hanging]:
    probe = Hanging("hangs")
    yield probe
    probe.release.set()


def brief(readings: object) -> list[tuple[str, float | None, str]]:
    assert isinstance(readings, list)
    return [(reading.probe, reading.value, str(reading.quality)) for reading in readings]


def first_good(bench: PatientBench, probe: Told, *, after: int) -> Reading:
    """Beat on until the probe gives a good reading again."""
    for at in range(after + 1, after + 60_000):
        reading = next(r for r in bench.sample(at) if r.probe == probe.id)
        if reading.good:
            return reading
        threading.Event().wait(0.001)
    raise AssertionError("it never came back")


def test_an_inline_bench_reads_each_probe_once_in_order() -> None:
    probes = [Told("a"), Told("b")]
    bench = InlineBench(probes)
    assert brief(bench.sample(0)) == [("a", 1.0, "good"), ("b", 1.0, "good")]
    assert brief(bench.sample(60)) == [("a", 2.0, "good"), ("b", 2.0, "good")]
    bench.close()
    assert [probe.asked_at for probe in probes] == [[0, 60], [0, 60]]
    assert all(probe.closed.is_set() for probe in probes)


def test_a_patient_bench_reads_every_beat_in_the_probes_order(patience: Patience) -> None:
    of_another_driver = Hanging("b")
    of_another_driver.release.set()
    bench = PatientBench([Told("a"), of_another_driver, Told("c")], 20.0, wait=patience)
    assert brief(bench.sample(0)) == [("a", 1.0, "good"), ("b", 1.0, "good"), ("c", 1.0, "good")]
    assert brief(bench.sample(60)) == [("a", 2.0, "good"), ("b", 2.0, "good"), ("c", 2.0, "good")]
    assert patience.asked_s == [20.0, 20.0]
    bench.close()


class Loitering(threading.Event):
    """An event whose setter falls asleep over it, so that what it does afterwards comes late."""

    def set(self) -> None:
        super().set()
        time.sleep(0.01)


def test_beats_in_quick_succession_never_find_a_lane_busy(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = PatientBench([Told("a")], LONG_S)
    monkeypatch.setattr(threading, "Event", Loitering)
    assert [bench.sample(at)[0].value for at in range(10)] == [at + 1.0 for at in range(10)]
    bench.close()


def test_a_probe_that_hangs_is_absent_and_the_others_are_read(patience: Patience, hanging: Hanging) -> None:
    other = Told("other")
    bench = PatientBench([hanging, other], LONG_S, wait=patience)
    patience.gives_up_after = hanging.hangs.wait
    assert brief(bench.sample(0))[0] == ("hangs", None, "absent")
    patience.gives_up_after = None
    assert first_good(bench, other, after=0).good
    bench.close()


def test_what_comes_home_late_is_never_handed_out(patience: Patience, hanging: Hanging) -> None:
    bench = PatientBench([hanging], LONG_S, wait=patience)
    patience.gives_up_after = hanging.hangs.wait
    assert brief(bench.sample(0)) == [("hangs", None, "absent")]
    patience.gives_up_after = None
    hanging.release.set()
    reading = first_good(bench, hanging, after=0)
    assert reading.value == 2.0  # the first read, late, was thrown away
    assert hanging.asked_at == [0, reading.at]
    bench.close()


def test_a_thread_that_hangs_gets_no_further_reads_until_it_returns(
    patience: Patience, hanging: Hanging
) -> None:
    other = Told("other")
    bench = PatientBench([hanging, other], LONG_S, wait=patience)
    patience.gives_up_after = hanging.hangs.wait
    bench.sample(0)
    patience.gives_up_after = None
    began = first_good(bench, other, after=0).at
    for at in range(began + 1, began + 50):  # the free lane alone ends these beats: nothing is waited out
        assert [reading.good for reading in bench.sample(at)] == [False, True]
    assert hanging.asked_at == [0]
    hanging.release.set()
    assert first_good(bench, hanging, after=began + 50).value == 2.0
    bench.close()


def test_probes_of_a_lane_that_were_read_before_the_hang_keep_their_values(patience: Patience) -> None:
    first, second, third = Hanging("first"), Hanging("second"), Hanging("third")
    first.release.set()
    third.release.set()
    bench = PatientBench([first, second, third], LONG_S, wait=patience)
    patience.gives_up_after = second.hangs.wait
    assert brief(bench.sample(0)) == [
        ("first", 1.0, "good"),
        ("second", None, "absent"),
        ("third", None, "absent"),
    ]
    patience.gives_up_after = None
    second.release.set()
    back = first_good(bench, third, after=0).at
    assert third.asked_at == [back]  # for the beat that was over it was not asked any more
    bench.close()


def test_a_bench_whose_every_lane_hangs_still_answers_at_once(patience: Patience, hanging: Hanging) -> None:
    bench = PatientBench([hanging], LONG_S, wait=patience)
    patience.gives_up_after = hanging.hangs.wait
    bench.sample(0)
    assert brief(bench.sample(60)) == [("hangs", None, "absent")]
    assert len(patience.asked_s) == 1
    bench.close()


def test_closing_ends_while_a_thread_hangs_and_lets_the_others_go(
    patience: Patience, hanging: Hanging
) -> None:
    other = Told("other")
    bench = PatientBench([hanging, other], LONG_S, wait=patience)
    patience.gives_up_after = hanging.hangs.wait
    bench.sample(0)
    patience.gives_up_after = None
    first_good(bench, other, after=0)
    bench.close()
    assert other.closed.is_set()
    assert not hanging.closed.is_set()
    hanging.release.set()
    assert hanging.closed.wait(LONG_S)


def test_the_threads_are_daemons_and_take_no_signals() -> None:
    class Curious(Told):
        def read(self, at: int) -> Reading:
            self.blocked = signal.pthread_sigmask(signal.SIG_BLOCK, [])
            self.daemon = threading.current_thread().daemon
            return super().read(at)

    probe = Curious("a")
    bench = PatientBench([probe], LONG_S)
    bench.sample(0)
    assert {signal.SIGTERM, signal.SIGINT, signal.SIGHUP, signal.SIGALRM} <= probe.blocked
    assert probe.daemon
    assert signal.SIGTERM not in signal.pthread_sigmask(signal.SIG_BLOCK, [])
    bench.close()


def test_a_probe_that_breaks_its_promise_is_absent_and_logged(caplog: pytest.LogCaptureFixture) -> None:
    class Raising(Told):
        def read(self, at: int) -> Reading:
            if at == 0:
                raise ZeroDivisionError
            return super().read(at)

    bench = PatientBench([Raising("a")], LONG_S)
    with caplog.at_level(logging.ERROR):
        assert brief(bench.sample(0)) == [("a", None, "absent")]
    assert "probe a raised" in caplog.text
    assert brief(bench.sample(60)) == [("a", 1.0, "good")]
    bench.close()


def test_real_probes_that_vanish_and_return_are_followed(tmp_path: Path) -> None:
    for number in range(3):
        _air(tmp_path, number, 20 + number)
    probes: list[Probe] = [
        HwmonChannel(f"air-{number}", Measure.ROOM_C, f"air{number}", base=tmp_path) for number in range(3)
    ]
    bench = PatientBench(probes, LONG_S)
    first = bench.sample(0)
    shutil.rmtree(tmp_path / "hwmon1")
    second = bench.sample(60)
    _air(tmp_path, 1, 25)
    third = bench.sample(120)
    bench.close()
    assert [[r.value for r in beat] for beat in (first, second, third)] == [
        [20.0, 21.0, 22.0],
        [20.0, None, 22.0],
        [20.0, 25.0, 22.0],
    ]


def _air(base: Path, number: int, room_c: int) -> None:
    folder = base / f"hwmon{number}"
    folder.mkdir()
    (folder / "name").write_text(f"air{number}\n")
    (folder / "temp1_input").write_text(f"{room_c * 1000}\n")
