"""The light and the button on the Pi: real gpiozero on mock pins, real station files, a real store."""

import logging
import os
import sqlite3
import sys
import threading
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import gpiozero
import pytest
from gpiozero.pins.mock import MockFactory, MockPin
from hypothesis import assume, given
from hypothesis import strategies as st

from daemon.alarms.lifecycle import State
from daemon.app import House
from daemon.care.deed import Deed
from daemon.clock import PlayedClock
from daemon.config import parse_station
from daemon.errors import InputError
from daemon.outside.indicator import COLOURS, PATTERNS, Indicator, Signal, pattern, until_change_s
from daemon.outside.signal_desk import SignalDesk, signal_of
from daemon.post.folder import FolderCarrier
from daemon.station import IndicatorPins
from daemon.store.file import WritingStore
from daemon.surroundings import Surroundings
from daemon.workers import InlineWorkers
from sensors.float_switch import FloatSwitch
from sensors.probe_bench import InlineBench
from sensors.reading import Measure, Quality, Reading
from tests.kit.checkout import REFERENCE
from tests.kit.command_line import begin, ended, process_of, surroundings, until
from tests.kit.station import probe, station_text

PAGE = REFERENCE / "station.md"
RED, GREEN, BLUE, BUTTON = 5, 6, 13, 26
RGB = IndicatorPins((RED, GREEN, BLUE), BUTTON, "high")
PLAIN = IndicatorPins((RED,), None, "high")
PATIENCE_S = 150.0
signals = st.sampled_from(Signal)
moments = st.floats(0, 1e7)


# --- patterns ---


def edges(signal: Signal, span_s: float) -> list[tuple[float, float]]:
    """The moments at which the light comes on or goes out, with its brightness from then on."""
    cycle, at, found, before = PATTERNS[signal], 0.0, [], 0.0
    while at < span_s:
        for brightness, seconds in cycle:
            if brightness != before:
                found.append((at, brightness))
            at, before = at + seconds, brightness
    return found


@pytest.mark.parametrize("signal", Signal)
def test_nothing_flashes_more_than_three_times_in_a_second(signal: Signal) -> None:
    # WCAG 2.1, success criterion 2.3.1 (three flashes or below threshold) [M].
    on = [at for at, brightness in edges(signal, 60.0) if brightness > 0]
    assert all(sum(1 for other in on if at <= other < at + 1.0) <= 3 for at in on)


def test_slow_and_fast_are_rates_that_people_are_used_to() -> None:
    # IEC 60073: slow flashing 0.4 to 0.8 Hz, the quicker one 1.4 to 2.8 Hz [M].
    rates_hz = {s: sum(1 for _, b in edges(s, 600.0) if b > 0) / 600 for s in (Signal.SOON, Signal.URGENT)}
    assert 0.4 <= rates_hz[Signal.SOON] <= 0.8
    assert 1.4 <= rates_hz[Signal.URGENT] <= 2.8


def test_every_pattern_is_known_without_its_colour() -> None:
    """By how many flashes come in a minute, and a double flash by its short pause."""
    flashes = {signal: sum(1 for _, b in edges(signal, 60.0) if b > 0) for signal in Signal}
    assert flashes == {
        Signal.URGENT: 120,
        Signal.BLIND: 40,
        Signal.SOON: 30,
        Signal.SEEN: 1,  # steady: it came on once
        Signal.WELL: 12,
    }
    on = [at for at, brightness in edges(Signal.BLIND, 12.0) if brightness > 0]
    pauses = [later - sooner for sooner, later in pairwise(on)]
    assert max(pauses) >= 4 * min(pauses)


def test_a_light_that_stands_still_never_looks_well() -> None:
    """A daemon that died leaves its pin as it was: dark or lit, but it flashes no more."""
    assert len(PATTERNS[Signal.WELL]) > 1
    assert {brightness for brightness, _ in PATTERNS[Signal.WELL]} == {0.0, 1.0}


@given(signals, moments)
def test_the_light_keeps_still_until_its_next_change(signal: Signal, t: float) -> None:
    pause_s = until_change_s(signal, t)
    assert 0.0 < pause_s <= 5.0
    assume(pause_s > 1e-6)  # nearer to a change than a float of that size can tell
    assert all(pattern(signal, t + pause_s * share) == pattern(signal, t) for share in (0.0, 0.3, 0.6, 0.9))


@given(signals, moments)
def test_a_brightness_is_off_or_on(signal: Signal, t: float) -> None:
    assert pattern(signal, t) in (0.0, 1.0)


def test_a_new_signal_begins_lit() -> None:
    assert all(pattern(signal, 0.0) == 1.0 for signal in Signal)


@pytest.mark.parametrize(
    ("signal", "t", "brightness"),
    [
        (Signal.WELL, 0.05, 1.0),
        (Signal.WELL, 0.15, 0.0),
        (Signal.WELL, 4.95, 0.0),
        (Signal.WELL, 5.05, 1.0),
        (Signal.SOON, 0.9, 1.0),
        (Signal.SOON, 1.1, 0.0),
        (Signal.URGENT, 0.3, 0.0),
        (Signal.URGENT, 0.6, 1.0),
        (Signal.SEEN, 1234.5, 1.0),
        (Signal.BLIND, 0.1, 1.0),
        (Signal.BLIND, 0.4, 0.0),
        (Signal.BLIND, 0.6, 1.0),
        (Signal.BLIND, 2.0, 0.0),
        (Signal.BLIND, 3.1, 1.0),
    ],
)
def test_the_patterns_are_those_documented(signal: Signal, t: float, brightness: float) -> None:
    assert pattern(signal, t) == brightness


def test_the_page_tells_every_signal_its_colour_and_their_order() -> None:
    told = [
        [cell.strip() for cell in line.strip("|").split("|")]
        for line in PAGE.read_text("utf-8").split("### What the light says")[1].splitlines()
        if line.startswith("| `")
    ]
    rgb = {"red": (1, 0, 0), "blue": (0, 0, 1), "amber": (1, 1, 0), "green": (0, 1, 0)}
    assert [cells[0].strip("`") for cells in told] == list(Signal)
    assert {cells[0].strip("`"): rgb[cells[2]] for cells in told} == COLOURS


# --- what is shown ---

STATES = st.lists(
    st.tuples(st.sampled_from(["cold", "hot", "water", "lamp", "probe"]), st.sampled_from(State))
)


@pytest.mark.parametrize(
    ("alarms", "signal"),
    [
        ([], Signal.WELL),
        ([("cold", State.NORMAL), ("hot", State.SUPPRESSED)], Signal.WELL),
        ([("cold", State.UNACKNOWLEDGED), ("water", State.UNACKNOWLEDGED)], Signal.URGENT),
        ([("hot", State.UNACKNOWLEDGED), ("cold", State.ACKNOWLEDGED)], Signal.URGENT),
        ([("water", State.UNACKNOWLEDGED), ("cold", State.ACKNOWLEDGED)], Signal.SOON),
        ([("lamp", State.UNACKNOWLEDGED)], Signal.SOON),
        ([("probe", State.UNACKNOWLEDGED)], Signal.SOON),
        ([("cold", State.RETURNED)], Signal.SOON),
        ([("cold", State.ACKNOWLEDGED), ("hot", State.NORMAL)], Signal.SEEN),
    ],
)
def test_the_most_pressing_alarm_is_shown(alarms: list[tuple[str, State]], signal: Signal) -> None:
    assert signal_of(alarms, blind=False) is signal


@given(STATES)
def test_a_blind_station_never_looks_well_or_seen_to(alarms: list[tuple[str, State]]) -> None:
    assert signal_of(alarms, blind=True) in (Signal.BLIND, Signal.URGENT)


@given(STATES, st.booleans())
def test_one_alarm_more_never_makes_the_light_calmer(alarms: list[tuple[str, State]], blind: bool) -> None:
    order = list(Signal)
    all_of_them = signal_of(alarms, blind=blind)
    assert all(
        order.index(all_of_them) <= order.index(signal_of(alarms[:count], blind=blind))
        for count in range(len(alarms))
    )


# --- light and button on the pins ---


@dataclass
class Bench:
    """Mock pins, and an indicator's time that a test sets."""

    pins: MockFactory
    now: float = 1000.0
    wake: threading.Event = field(default_factory=threading.Event)
    made: list[Indicator] = field(default_factory=list)

    def indicator(self, fitted: IndicatorPins = RGB) -> Indicator:
        made = Indicator(fitted, self.wake, patience_s=PATIENCE_S, pins=self.pins, now=lambda: self.now)
        self.made.append(made)
        return made

    def lit(self) -> tuple[bool, ...]:
        return tuple(bool(self.pins.pin(pin).state) for pin in (RED, GREEN, BLUE))


@pytest.fixture
def bench() -> Iterator[Bench]:
    factory = MockFactory()
    ready = Bench(factory)
    yield ready
    for made in ready.made:
        made.close()
    factory.reset()


@pytest.mark.parametrize("signal", Signal)
def test_a_coloured_light_shows_pattern_and_colour(bench: Bench, signal: Signal) -> None:
    indicator = bench.indicator()
    indicator.show(signal)
    seen = set()
    for quarter in range(40):
        bench.now = 1000.0 + quarter / 4 + 0.05
        indicator.show(signal)
        indicator.tick()
        on = pattern(signal, quarter / 4 + 0.05) == 1.0
        assert bench.lit() == (COLOURS[signal] if on else (0, 0, 0))
        seen.add(on)
    assert seen == ({True} if signal is Signal.SEEN else {True, False})


@pytest.mark.parametrize("lit_when", ["high", "low"])
def test_a_plain_light_shows_every_pattern_whichever_way_it_is_wired(bench: Bench, lit_when: str) -> None:
    indicator = bench.indicator(IndicatorPins((RED,), None, lit_when))
    assert bool(bench.pins.pin(RED).state) is (lit_when == "low")  # dark until it is told something
    for signal in Signal:
        bench.now += 100.0
        indicator.show(signal)
        began = bench.now
        for step in range(30):
            bench.now = began + step / 5 + 0.05
            indicator.tick()
            on = pattern(signal, step / 5 + 0.05) == 1.0
            assert bool(bench.pins.pin(RED).state) is (on is (lit_when == "high"))


def test_a_signal_said_again_runs_on_and_a_new_one_begins_lit(bench: Bench) -> None:
    indicator = bench.indicator()
    indicator.show(Signal.WELL)
    bench.now += 3.0
    indicator.show(Signal.WELL)
    indicator.tick()
    assert bench.lit() == (False, False, False)
    indicator.show(Signal.URGENT)
    indicator.tick()
    assert bench.lit() == (True, False, False)


def test_a_tick_says_when_the_next_is_due(bench: Bench) -> None:
    indicator = bench.indicator()
    indicator.show(Signal.WELL)
    assert indicator.tick() == pytest.approx(0.1)
    bench.now += 0.1
    assert indicator.tick() == pytest.approx(4.9)


def test_before_the_first_reading_the_light_says_blind(bench: Bench) -> None:
    bench.indicator().tick()
    assert bench.lit() == (False, False, True)


def test_a_light_that_the_beat_forgot_says_blind_and_comes_back(bench: Bench) -> None:
    indicator = bench.indicator()
    indicator.show(Signal.SEEN)
    bench.now += PATIENCE_S
    indicator.tick()
    assert bench.lit() == (True, True, False)
    bench.now += 0.05
    shown = set()
    for _ in range(60):
        bench.now += 0.1
        indicator.tick()
        shown.add(bench.lit())
    assert shown == {(False, False, True), (False, False, False)}
    indicator.show(Signal.SEEN)
    indicator.tick()
    assert bench.lit() == (True, True, False)


def test_a_press_wakes_the_loop_and_is_told_once(bench: Bench) -> None:
    indicator = bench.indicator()
    assert not indicator.pressed()
    bench.pins.pin(BUTTON).drive_low()
    assert bench.wake.is_set()
    bench.pins.pin(BUTTON).drive_high()
    assert indicator.pressed()
    assert not indicator.pressed()


def test_presses_between_two_looks_are_one(bench: Bench) -> None:
    indicator = bench.indicator()
    for _ in range(3):
        bench.pins.pin(BUTTON).drive_low()
        bench.pins.pin(BUTTON).drive_high()
    assert [indicator.pressed(), indicator.pressed()] == [True, False]


def test_a_button_jammed_at_the_start_is_no_press(bench: Bench) -> None:
    bench.pins.pin(BUTTON)

    class JammedPin(MockPin):  # type: ignore[misc]  # gpiozero ships no types
        def _set_pull(self, value: str) -> None:
            self._pull = value
            self.drive_low()

    factory = MockFactory(pin_class=JammedPin)
    indicator = Indicator(RGB, bench.wake, patience_s=PATIENCE_S, pins=factory)
    assert factory.pin(BUTTON).state is False
    assert not indicator.pressed()
    assert not bench.wake.is_set()
    indicator.close()
    factory.reset()


def test_the_button_keeps_no_thread(bench: Bench) -> None:
    before = threading.active_count()
    bench.indicator()
    assert threading.active_count() == before


def test_a_short_spike_on_the_buttons_wire_is_left_to_the_pins_own_filter(bench: Bench) -> None:
    """The kernel drops it; here only that it is asked to. A press lasts longer than 50 ms."""
    bench.indicator()
    assert bench.pins.pin(BUTTON).bounce == pytest.approx(0.05)


# --- the thread ---


class WatchedPin(MockPin):  # type: ignore[misc]  # gpiozero ships no types
    """A pin that tells when it was set."""

    was_set = threading.Event()

    def _set_state(self, value: bool) -> None:
        super()._set_state(value)
        self.was_set.set()


def test_one_thread_keeps_the_time_and_is_gone_with_the_pins_free_at_the_end(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # So long a pause that only a thread that is told at once is in time.
    monkeypatch.setitem(PATTERNS, Signal.BLIND, ((0.0, 1000.0),))
    factory = MockFactory(pin_class=WatchedPin)
    before = set(threading.enumerate())
    indicator = Indicator(RGB, threading.Event(), patience_s=PATIENCE_S, pins=factory, now=lambda: 0.0)
    WatchedPin.was_set.clear()
    indicator.start()
    (thread,) = set(threading.enumerate()) - before
    assert thread.daemon
    assert WatchedPin.was_set.wait(PATIENCE_S)
    assert not factory.pin(RED).state
    indicator.show(Signal.SEEN)
    until("the light is lit", lambda: factory.pin(RED).state and factory.pin(GREEN).state)
    indicator.close()
    indicator.close()  # twice does no harm
    assert not thread.is_alive()
    for pin in (RED, GREEN, BLUE, BUTTON):
        assert factory.pin(pin).function == "input"
        gpiozero.InputDevice(pin, pin_factory=factory).close()
    factory.reset()


def test_without_a_light_there_is_no_thread(bench: Bench) -> None:
    before = threading.active_count()
    indicator = bench.indicator(IndicatorPins((), BUTTON, "high"))
    indicator.start()
    indicator.show(Signal.URGENT)
    assert threading.active_count() == before


# --- a machine that has no pins, or not these ---


def warnings_in(caplog: pytest.LogCaptureFixture) -> list[str]:
    return [record.getMessage() for record in caplog.records if record.levelno == logging.WARNING]


def test_without_gpio_there_is_one_warning_and_no_light(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setenv("GPIOZERO_PIN_FACTORY", "unset below, and put back after the test")
    monkeypatch.delenv("GPIOZERO_PIN_FACTORY")
    monkeypatch.setenv("LG_WD", "/nonexistent")
    monkeypatch.setattr(gpiozero.Device, "pin_factory", None)
    monkeypatch.setitem(sys.modules, "lgpio", None)
    indicator = Indicator(RGB, threading.Event(), patience_s=PATIENCE_S)
    indicator.start()
    indicator.show(Signal.URGENT)
    assert indicator.tick() > 0
    assert not indicator.pressed()
    indicator.close()
    (line,) = warnings_in(caplog)
    assert line.startswith("[indicator]: the library lgpio cannot be loaded")
    assert line.endswith("Going on without the light and button.")
    assert os.environ["GPIOZERO_PIN_FACTORY"] == "lgpio"


def test_a_taken_pin_costs_the_light_and_not_the_button(
    bench: Bench, caplog: pytest.LogCaptureFixture
) -> None:
    switch = FloatSwitch("float", BLUE, pins=bench.pins)
    indicator = bench.indicator()
    (line,) = warnings_in(caplog)
    assert line.startswith("[indicator]: pin: found 13, allowed: a free GPIO pin (")
    assert line.endswith("Going on without the light.")
    bench.pins.pin(BUTTON).drive_low()
    assert indicator.pressed()
    # The pins that could be had were given back.
    for pin in (RED, GREEN):
        gpiozero.InputDevice(pin, pin_factory=bench.pins).close()
    switch.close()


def test_a_taken_pin_costs_the_button_and_not_the_light(
    bench: Bench, caplog: pytest.LogCaptureFixture
) -> None:
    switch = FloatSwitch("float", BUTTON, pins=bench.pins)
    indicator = bench.indicator()
    assert len(warnings_in(caplog)) == 1
    indicator.show(Signal.URGENT)
    indicator.tick()
    assert bench.lit() == (True, False, False)
    assert not indicator.pressed()
    switch.close()


def test_a_light_that_fails_is_told_once_and_comes_back(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    indicator = bench.indicator()
    indicator.show(Signal.SEEN)
    with monkeypatch.context() as broken:
        broken.setattr(MockPin, "_set_state", _fails)
        for _ in range(3):
            indicator.tick()
    assert len(warnings_in(caplog)) == 1
    indicator.tick()
    assert bench.lit() == (True, True, False)
    with monkeypatch.context() as broken:
        broken.setattr(MockPin, "_set_state", _fails)
        indicator.tick()
    assert len(warnings_in(caplog)) == 2


def _fails(*_: object) -> None:
    raise RuntimeError("bad GPIO handle")  # lgpio.error is no OSError either


# --- the station file ---

LEAST = station_text(driver="rehearsal")
FLOAT = probe("float", "float_low", "float", pin=17)
ADC = probe("light", "light_fraction", "mcp3008", channel=0)


def indicated(*lines: str, probes: str = "") -> str:
    return LEAST.replace("[[vessel]]", probes + "[[vessel]]") + "\n[indicator]\n" + "\n".join(lines) + "\n"


@pytest.mark.parametrize(
    ("lines", "fitted"),
    [
        (["led = 5"], IndicatorPins((5,), None, "high")),
        (["button = 26"], IndicatorPins((), 26, "high")),
        (["led = 5", "button = 26", 'lit_when = "low"'], IndicatorPins((5,), 26, "low")),
        (["red = 5", "green = 6", "blue = 13", "button = 26"], RGB),
    ],
)
def test_a_light_and_a_button_are_read(lines: list[str], fitted: IndicatorPins) -> None:
    assert parse_station(indicated(*lines), "station.toml").indicator == fitted


def test_without_the_table_there_is_neither() -> None:
    assert parse_station(LEAST, "station.toml").indicator is None


@pytest.mark.parametrize(
    ("lines", "probes", "faults"),
    [
        ([], "", [": found no pin; allowed: led, or red, green and blue; and button"]),
        (['lit_when = "low"'], "", [": found no pin; allowed: led, or red, green and blue; and button"]),
        (["led = 28"], "", [".led: found 28; allowed: a whole number from 0 to 27 (BCM pin number)"]),
        (["led = true"], "", [".led: found true; allowed: a whole number from 0 to 27 (BCM pin number)"]),
        (["ledd = 5"], "", [".ledd: found an unknown key (did you mean led?); allowed: led, red,"]),
        (["led = 5", 'lit_when = "up"'], "", [".lit_when: found 'up'; allowed: high or low"]),
        (["led = 5", "red = 6", "green = 7"], "", [".led: found it beside red; allowed: led, or red, green"]),
        (
            ["red = 5", "button = 26"],
            "",
            [
                f".{name}: found nothing; allowed: a pin for each of red, green and blue, or led alone"
                for name in ("green", "blue")
            ],
        ),
        (
            ["led = 5", "button = 5"],
            "",
            [".button: found 5, which indicator.led has already; allowed: a pin of its own"],
        ),
        (
            ["red = 5", "green = 5", "blue = 5"],
            "",
            [f".{name}: found 5, which indicator.red has already" for name in ("green", "blue")],
        ),
        (["led = 17"], FLOAT, [".led: found 17, which probe[3].pin has already"]),
        (["led = 8"], ADC, [".led: found 8, which the SPI bus of probe[3] has already"]),
        (["button = 11"], ADC, [".button: found 11, which the SPI bus of probe[3] has already"]),
    ],
)
def test_a_doubtful_light_or_button_is_refused(lines: list[str], probes: str, faults: list[str]) -> None:
    with pytest.raises(InputError) as refusal:
        parse_station(indicated(*lines, probes=probes), "station.toml")
    assert len(refusal.value.faults) == len(faults)
    for told, expected in zip(refusal.value.faults, faults, strict=True):
        assert told.startswith(f"station.toml: indicator{expected}")


def test_the_spi_pins_are_free_without_a_converter() -> None:
    assert parse_station(indicated("led = 8", "button = 11"), "station.toml").indicator is not None


@pytest.mark.parametrize("table", ["indicator = 5\n", "[[indicator]]\nled = 5\n"])
def test_an_indicator_that_is_no_table_is_refused(table: str) -> None:
    text = table + LEAST if table.startswith("indicator") else LEAST + table
    with pytest.raises(InputError, match=r"indicator: found .*; allowed: a table"):
        parse_station(text, "station.toml")


KEYS = st.sampled_from(["led", "red", "green", "blue", "button", "lit_when", "strange"])
VALUES = st.one_of(
    st.integers(-2, 30).map(str), st.sampled_from(["true", "5.0", '"high"', '"5"', "[]", "{}", "nan"])
)


@given(st.dictionaries(KEYS, VALUES, max_size=6))
def test_whatever_the_table_holds_it_is_refused_or_no_pin_is_used_twice(told: dict[str, str]) -> None:
    lines = [f"{key} = {value}" for key, value in told.items()]
    try:
        fitted = parse_station(indicated(*lines, probes=FLOAT + ADC), "station.toml").indicator
    except InputError as refused:
        elsewhere = [fault for fault in refused.faults if not fault.startswith("station.toml: indicator")]
        if elsewhere:
            raise
        return
    assert fitted is not None
    pins = [*fitted.lights, *([] if fitted.button is None else [fitted.button])]
    assert len(fitted.lights) in (0, 1, 3)
    assert pins
    assert len(set(pins)) == len(pins)
    assert not set(pins) & {17, *range(7, 12)}


# --- the whole of it: readings, alarms, light, button, store ---

EVERY_S = 300
MIDDAY = int(datetime(2027, 1, 13, 12, tzinfo=ZoneInfo("Europe/Lisbon")).timestamp())


class Water:
    """A thermometer that gives what a test says, or nothing."""

    id = "cup-water"
    measures = Measure.WATER_C
    water_c: float | None = 24.0

    def read(self, at: int) -> Reading:
        return Reading(at, self.id, self.water_c, Quality.ABSENT if self.water_c is None else Quality.GOOD)

    def close(self) -> None:
        pass


class Room(Water):
    """A room thermometer, which says nothing about the water."""

    id = "room-air"
    measures = Measure.ROOM_C
    water_c = 21.0


class Watched:
    """A station at work with a light and a button, a beat at a time."""

    def __init__(self, folder: Path, bench: Bench, clock: PlayedClock | None = None) -> None:
        text = station_text(driver="rehearsal", every_s=EVERY_S)
        station = parse_station(text, "station.toml")
        self.bench, self.clock = bench, clock or PlayedClock(MIDDAY)
        self.water, self.room = Water(), Room()
        self.store = WritingStore(folder, durable=False)
        deeds = [] if clock else [Deed(MIDDAY - 4 * 3600, "cup", "set", 0.05, {"salt_g_per_l": 25.0})]
        around = Surroundings(
            bench=InlineBench([self.water, self.room]),
            clock=self.clock,
            workers=InlineWorkers(),
            carriers={"files": FolderCarrier(folder)},
            folder=folder,
            free_bytes=lambda: 20_000_000_000,
            played_deeds=lambda _at: [deeds.pop()] if deeds else [],
        )
        self.house = House(station, text, self.store, around)
        self.indicator = bench.indicator()
        self.light = SignalDesk(station, self.store, self.house.watch, self.indicator)

    def beats(self, count: int) -> None:
        for _ in range(count):
            self.house.beat(self.clock.now_s())
            self.light.look(self.clock.now_s())
            self.clock.wait(self.clock.monotonic_s() + EVERY_S, threading.Event())
            self.bench.now += EVERY_S

    def press(self) -> None:
        self.bench.pins.pin(BUTTON).drive_low()
        self.bench.pins.pin(BUTTON).drive_high()
        assert self.bench.wake.is_set()
        self.between()

    def between(self) -> None:
        self.house.between(self.clock.now_s())
        self.light.look(self.clock.now_s())

    def shown(self) -> Signal:
        """What the pins show over ten seconds from the last thing told, read as a person would."""
        began = self.bench.now
        self.between()
        seen = []
        for step in range(200):
            self.bench.now = began + step / 20 + 0.01
            self.indicator.tick()
            seen.append(self.bench.lit())
        self.bench.now = began
        flashes = sum(1 for a, b in pairwise(seen) if any(b) and not any(a))
        return next(signal for signal, most in FLASHES_IN_10_S.items() if flashes <= most)

    def log(self) -> list[tuple[str, str]]:
        rows = self.store.connection.execute(
            "SELECT condition, state FROM alarm WHERE state NOT IN ('normal', 'suppressed by design') "
            "ORDER BY id"
        )
        return [(condition, state) for condition, state in rows]

    def close(self) -> None:
        self.store.close()


# The most flashes that begin within ten seconds, fewest first; the first flash may be under way.
FLASHES_IN_10_S = {
    Signal.SEEN: 0,
    Signal.WELL: 2,
    Signal.SOON: 5,
    Signal.BLIND: 8,
    Signal.URGENT: 21,
}


@pytest.fixture
def watched(tmp_path: Path, bench: Bench) -> Iterator[Watched]:
    made = Watched(tmp_path, bench)
    yield made
    made.close()


def test_a_cold_cup_is_urgent_until_somebody_presses_and_well_when_it_is_warm_again(watched: Watched) -> None:
    watched.beats(3)
    assert watched.shown() is Signal.WELL
    watched.water.water_c = 17.0
    watched.beats(14)  # an hour and some
    assert watched.shown() is Signal.URGENT
    assert watched.log() == [("cold", "unacknowledged")]
    watched.press()
    assert watched.shown() is Signal.SEEN
    assert watched.log() == [("cold", "unacknowledged"), ("cold", "acknowledged")]
    watched.water.water_c = 24.0
    watched.beats(4)
    assert watched.shown() is Signal.WELL


def test_cold_that_nobody_saw_is_looked_at_soon_until_somebody_presses(watched: Watched) -> None:
    watched.water.water_c = 17.0
    watched.beats(14)
    watched.water.water_c = 24.0
    watched.beats(4)
    assert watched.shown() is Signal.SOON
    watched.press()
    assert watched.shown() is Signal.WELL
    assert watched.log()[-1] == ("cold", "returned to normal unacknowledged")


def test_a_press_with_nothing_to_acknowledge_writes_nothing(watched: Watched) -> None:
    watched.beats(2)
    before = list(watched.store.connection.iterdump())
    watched.press()
    assert list(watched.store.connection.iterdump()) == before


def test_what_was_acknowledged_stays_so_after_a_restart(tmp_path: Path, bench: Bench) -> None:
    first = Watched(tmp_path, bench)
    first.water.water_c = 17.0
    first.beats(14)
    first.press()
    first.indicator.close()
    first.close()
    again = Watched(tmp_path, bench, first.clock)
    again.water.water_c = 17.0
    again.beats(1)
    assert again.shown() is Signal.SEEN
    again.close()


def test_all_of_a_press_is_kept_or_nothing(watched: Watched) -> None:
    watched.water.water_c, watched.room.water_c = 17.0, None
    watched.beats(14)
    before = watched.log()
    assert sorted(before) == [("cold", "unacknowledged"), ("probe", "unacknowledged")]
    watched.store.connection.execute(
        "CREATE TEMP TRIGGER full BEFORE INSERT ON alarm WHEN NEW.condition = 'probe' "
        "BEGIN SELECT RAISE(ABORT, 'disk full'); END"
    )
    with pytest.raises(sqlite3.IntegrityError, match="disk full"):
        watched.press()
    assert not watched.store.connection.in_transaction
    assert watched.log() == before


def test_a_station_without_water_readings_is_blind_and_cannot_be_pressed_out_of_it(watched: Watched) -> None:
    watched.beats(2)
    watched.water.water_c = None
    watched.beats(1)
    assert watched.shown() is Signal.WELL  # one read that failed is no blindness
    watched.beats(1)
    assert watched.shown() is Signal.BLIND
    watched.beats(3)
    assert ("probe", "unacknowledged") in watched.log()
    watched.press()
    assert watched.shown() is Signal.BLIND
    watched.water.water_c = 24.0
    watched.beats(1)
    assert watched.shown() is Signal.SEEN


@pytest.mark.parametrize("factory", ["no-such", "mock"])
def test_the_daemon_runs_with_and_without_pins(tmp_path: Path, factory: str) -> None:
    """As a process: where there is no Pi it says so and watches on; where there is one it ends clean."""
    config = tmp_path / "station.toml"
    text = station_text(driver="rehearsal", every_s=5)
    config.write_text(text + f"\n[indicator]\nled = {RED}\nbutton = {BUTTON}\n", encoding="utf-8")
    environment = {**surroundings(), "GPIOZERO_PIN_FACTORY": factory, "PYTHONWARNINGS": "error"}
    process = begin(
        "run", "--config", config, "--state", tmp_path / "state", folder=tmp_path, env=environment
    )
    assert process.stderr is not None
    lines = []
    for line in process.stderr:
        lines.append(line)
        if "the first readings are kept" in line:
            break
    process.terminate()
    said = ended(process)
    assert said.code == 0
    told = [line for line in lines if "[indicator]" in line]
    assert len(told) == (0 if factory == "mock" else 1), lines
    assert "Traceback" not in "".join(lines) + said.err
    with closing(sqlite3.connect(tmp_path / "state" / "station.db")) as store:
        assert store.execute("SELECT count(*) FROM reading").fetchone()[0] >= 2
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".lgd")] == []


# The daemon, whose button is pressed once its light was first shown, and who stops when it hears of that.
PRESSED = f"""
import os, signal
import gpiozero
from daemon.cli import main
from daemon.outside import indicator

class Pressed(indicator.Indicator):
    shown = 0

    def show(self, signal):
        super().show(signal)
        self.shown += 1
        if self.shown == 1:
            button = gpiozero.Device.pin_factory.pin({BUTTON})
            button.drive_low()
            button.drive_high()

    def pressed(self):
        heard = super().pressed()
        if heard:
            os.kill(os.getpid(), signal.SIGTERM)
        return heard

indicator.Indicator = Pressed
main()
"""


def test_the_daemon_shows_its_light_after_a_beat_and_hears_its_button_before_the_next(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GPIOZERO_PIN_FACTORY", "mock")
    config, program, state = tmp_path / "station.toml", tmp_path / "pressed.py", tmp_path / "state"
    text = station_text(driver="rehearsal", every_s=60)
    config.write_text(text + f"\n[indicator]\nled = {RED}\nbutton = {BUTTON}\n", encoding="utf-8")
    program.write_text(PRESSED, encoding="utf-8")
    assert ended(process_of(program, "run", "--config", config, "--state", state)).code == 0
    with closing(sqlite3.connect(state / "station.db")) as store:
        assert store.execute("SELECT count(DISTINCT at) FROM reading").fetchone() == (1,)
