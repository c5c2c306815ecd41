"""Float switch, photocell and MCP3008 through the real gpiozero, on mock pins that emulate the circuit."""

import errno
import os
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import gpiozero
import pytest
from gpiozero.pins import local
from gpiozero.pins.mock import MockFactory, MockPin
from gpiozero.pins.pi import PiPin
from hypothesis import assume, given
from hypothesis import strategies as st

from sensors import pins as header
from sensors.drivers import key_faults
from sensors.errors import NotFitted, WrongKeys
from sensors.float_switch import FloatSwitch
from sensors.gpio_chips import header_chip
from sensors.light_scale import LightScale, scale_fault
from sensors.mcp3008 import Mcp3008
from sensors.photocell import Photocell
from sensors.reading import Measure, Quality, Reading
from tests.kit.converter import Converter
from tests.kit.gpio_chips import (
    GET_CHIP_INFO,
    HEADER,
    PI_4,
    Lgpio,
    answering,
    lay_chips,
)

# --- float switch ---


@pytest.mark.parametrize(
    ("low_when", "contact", "value"),
    [("open", "open", 1.0), ("open", "closed", 0.0), ("closed", "open", 0.0), ("closed", "closed", 1.0)],
)
def test_the_contact_says_low_as_it_was_mounted(
    pins: MockFactory, low_when: str, contact: str, value: float
) -> None:
    switch = FloatSwitch("float", 17, low_when=low_when, pins=pins)
    pin = pins.pin(17)
    if contact == "closed":
        pin.drive_low()  # the contact leads to ground
    assert switch.read(7) == Reading(7, "float", value, Quality.GOOD)


def test_a_broken_wire_reads_as_low_water_unless_told_otherwise(pins: MockFactory) -> None:
    switch = FloatSwitch("float", 17, pins=pins)
    assert pins.pin(17).pull == "up"
    assert switch.read(0).value == 1.0


def test_a_switch_follows_the_water(pins: MockFactory) -> None:
    switch = FloatSwitch("float", 17, pins=pins)
    pin = pins.pin(17)
    read = []
    for at, drive in enumerate((pin.drive_low, pin.drive_high, pin.drive_low)):
        drive()
        read.append(switch.read(at).value)
    assert read == [0.0, 1.0, 0.0]


def test_a_pin_that_fails_is_absent_and_comes_back(
    pins: MockFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    switch = FloatSwitch("float", 17, pins=pins)
    pins.pin(17).drive_low()
    with monkeypatch.context() as broken:
        broken.setattr(MockPin, "_get_state", _fails)
        assert switch.read(0) == Reading(0, "float", None, Quality.ABSENT)
    assert switch.read(1).value == 0.0


def _fails(*_: object) -> bool:
    raise RuntimeError("bad GPIO handle")  # lgpio.error is no OSError either


def test_a_pin_that_another_device_uses_is_refused_by_number(pins: MockFactory) -> None:
    first = FloatSwitch("float-a", 17, pins=pins)
    with pytest.raises(WrongKeys, match="pin: found 17") as caught:
        FloatSwitch("float-b", 17, pins=pins)
    assert caught.value.probe == "float-b"
    first.close()
    FloatSwitch("float-b", 17, pins=pins).close()


# --- photocell ---


class ChargingPin(MockPin):  # type: ignore[misc]  # gpiozero ships no types
    """A capacitor that charges through a light-dependent resistor, on the factory's own clock."""

    charge_s = 0.01
    broken = False

    def _set_function(self, value: str) -> None:
        if self.broken and value == "output":
            raise RuntimeError("bad GPIO handle")
        super()._set_function(value)
        if value == "input" and self._when_changed is not None and self.charge_s < 0.01:
            PiPin._call_when_changed(self, self.factory.now + self.charge_s, True)


class CircuitFactory(MockFactory):  # type: ignore[misc]  # gpiozero ships no types
    """Mock pins whose clock stands still, so that a charge takes exactly what the circuit says."""

    now = 0.0

    @classmethod
    def ticks(cls) -> float:
        return cls.now


@pytest.fixture
def circuit(monkeypatch: pytest.MonkeyPatch) -> Iterator[CircuitFactory]:
    factory = CircuitFactory(pin_class=ChargingPin)
    monkeypatch.setattr("gpiozero.input_devices.sleep", lambda _: None)  # the discharge
    yield factory
    factory.reset()


@pytest.mark.parametrize(("charge_s", "fraction"), [(0.0, 1.0), (0.002, 0.8), (0.0075, 0.25), (1.0, 0.0)])
def test_a_photocell_is_brighter_the_faster_it_charges(
    circuit: CircuitFactory, charge_s: float, fraction: float
) -> None:
    cell = Photocell("tray-light", 18, pins=circuit)
    circuit.pin(18).charge_s = charge_s
    reading = cell.read(3)
    assert (reading.at, reading.probe, reading.quality) == (3, "tray-light", Quality.GOOD)
    assert reading.value == pytest.approx(fraction)


def test_a_photocell_keeps_no_thread_and_no_pin_between_readings(circuit: CircuitFactory) -> None:
    before = threading.active_count()
    cell = Photocell("tray-light", 18, pins=circuit)
    cell.read(0)
    assert threading.active_count() == before
    gpiozero.InputDevice(18, pin_factory=circuit).close()
    cell.close()


# gpiozero charges in a thread of its own, which such an error ends: left to itself, a reader waits for ever.
@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_photocell_whose_pin_fails_is_absent_and_comes_back(
    circuit: CircuitFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    cell = Photocell("tray-light", 18, pins=circuit)
    with monkeypatch.context() as broken:
        broken.setattr(ChargingPin, "broken", True)
        broken.setattr("sensors.photocell._LOOK_EVERY_S", 0.0)
        assert cell.read(0) == Reading(0, "tray-light", None, Quality.ABSENT)
    assert cell.read(1).quality is Quality.GOOD


@pytest.mark.parametrize("kernel", ["6.6.20+rpt-rpi-v8", "6.6.31", "6.12.1", "7.0.0-rc1", "10.1"])
def test_a_photocell_is_refused_on_kernels_where_it_reads_nothing(
    monkeypatch: pytest.MonkeyPatch, kernel: str
) -> None:
    monkeypatch.delenv("GPIOZERO_PIN_FACTORY", raising=False)
    with pytest.raises(NotFitted, match=r"reads 0 for ever .* with lgpio") as caught:
        Photocell("tray-light", 18, kernel=kernel)
    assert kernel in caught.value.account
    assert "mcp3008" in caught.value.remedy


@pytest.mark.parametrize(
    ("kernel", "factory"), [("6.6.19-v8", "mock"), ("6.1.0-rpi7", "mock"), ("6.12.1", "mock")]
)
def test_a_photocell_opens_with_another_pin_factory(
    pins: MockFactory, monkeypatch: pytest.MonkeyPatch, kernel: str, factory: str
) -> None:
    monkeypatch.setenv("GPIOZERO_PIN_FACTORY", factory)
    Photocell("tray-light", 18, kernel=kernel).close()


def test_an_older_kernel_gets_as_far_as_the_pins(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GPIOZERO_PIN_FACTORY", "lgpio")
    monkeypatch.setattr(gpiozero.Device, "pin_factory", None)
    monkeypatch.setitem(sys.modules, "lgpio", None)
    with pytest.raises(NotFitted, match="lgpio cannot be loaded"):
        Photocell("tray-light", 18, kernel="6.6.19-v8")


# --- MCP3008 ---


@pytest.mark.parametrize(("counts", "fraction"), [(0, 0.0), (1, 1 / 1023), (512, 512 / 1023), (1023, 1.0)])
def test_counts_are_read_as_a_share_of_full_scale(pins: MockFactory, counts: int, fraction: float) -> None:
    with Converter([0, 0, 0, counts, 0, 0, 0, 0], pins):
        probe = Mcp3008("tray-light", 3, pins=pins)
        assert probe.read(9) == Reading(9, "tray-light", fraction, Quality.GOOD)
        probe.close()


def test_all_eight_channels_of_a_chip_are_read_side_by_side(pins: MockFactory) -> None:
    counts = [0, 146, 292, 438, 584, 730, 876, 1022]
    with Converter(counts, pins):
        probes = [Mcp3008(f"light-{channel}", channel, pins=pins) for channel in range(8)]
        assert [probe.read(0).value for probe in probes] == [pytest.approx(c / 1023) for c in counts]
        for probe in probes:
            probe.close()


def test_the_chip_at_the_other_chip_select_is_reached(pins: MockFactory) -> None:
    with Converter([700] * 8, pins, select_pin=7):  # CE1
        probe = Mcp3008("tray-light", 0, device=1, pins=pins)
        assert probe.read(0).value == 700 / 1023
        probe.close()


def test_a_bus_that_fails_is_absent_and_comes_back(
    pins: MockFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Converter([512] * 8, pins):
        probe = Mcp3008("tray-light", 0, pins=pins)
        with monkeypatch.context() as broken:
            broken.setattr("gpiozero.pins.spi.SPISoftware.transfer", _fails)
            assert probe.read(0) == Reading(0, "tray-light", None, Quality.ABSENT)
        assert probe.read(1).good
        probe.close()


def test_where_the_kernel_has_no_spi_the_line_to_add_is_named(
    pins: MockFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    def spi_class(self: MockFactory, shared: bool, hardware: bool) -> Any:
        if hardware:
            return _no_spidev
        raise AssertionError("bit-banging must not be tried")

    monkeypatch.setattr(MockFactory, "_get_spi_class", spi_class)
    with pytest.raises(NotFitted, match=r"dtparam=spi=on .* group spi") as caught:
        Mcp3008("tray-light", 0, pins=pins)
    assert "can not open SPI device" in caught.value.account


def _no_spidev(**_: object) -> None:
    raise OSError("can not open SPI device")


def test_spi_pins_that_another_probe_uses_are_refused(pins: MockFactory) -> None:
    switch = FloatSwitch("float", 8, pins=pins)
    with pytest.raises(WrongKeys, match="device: found 0"):
        Mcp3008("tray-light", 0, pins=pins)
    switch.close()


# --- the header ---


def test_no_pin_factory_is_fallen_back_to(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gpiozero.Device, "pin_factory", None)
    monkeypatch.setenv("GPIOZERO_PIN_FACTORY", "no-such")
    with pytest.raises(NotFitted, match=r"no GPIO pins .*no-such") as caught:
        header.header_pins("float")
    assert "GPIOZERO_PIN_FACTORY" in caught.value.remedy


def test_lgpio_is_asked_for_and_nothing_else_when_nothing_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GPIOZERO_PIN_FACTORY", "unset below, and put back after the test")
    monkeypatch.delenv("GPIOZERO_PIN_FACTORY")
    monkeypatch.setenv("LG_WD", "/nonexistent")
    monkeypatch.setattr(gpiozero.Device, "pin_factory", None)
    monkeypatch.setitem(sys.modules, "lgpio", None)
    with pytest.raises(NotFitted, match="the library lgpio cannot be loaded"):
        header.header_pins("float")


def test_a_named_pin_factory_is_used(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gpiozero.Device, "pin_factory", None)
    monkeypatch.setenv("GPIOZERO_PIN_FACTORY", "mock")
    assert isinstance(header.header_pins("float"), MockFactory)
    FloatSwitch("float", 17).close()


def test_lgpio_leaves_its_pipe_in_the_runtime_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gpiozero.Device, "pin_factory", MockFactory())
    monkeypatch.setenv("LG_WD", "unset below, and put back after the test")
    monkeypatch.delenv("LG_WD")
    monkeypatch.setenv("RUNTIME_DIRECTORY", "/run/naupliad:/run/other")
    header.header_pins("float")
    assert os.environ["LG_WD"] == "/run/naupliad"


# --- the chip that carries the header ---


@pytest.fixture
def lgpio(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Lgpio]:
    """A Pi 4B or 5 whose chips lie in `tmp_path`; gpiozero's own lgpio factory, on a made-up library."""
    answering(monkeypatch)
    library = Lgpio(tmp_path)
    monkeypatch.setitem(sys.modules, "lgpio", library)
    monkeypatch.delitem(sys.modules, "gpiozero.pins.lgpio", raising=False)
    monkeypatch.setattr(local, "get_pi_revision", lambda: 0xC04170)
    monkeypatch.setattr(local.LocalPiFactory, "pins", {})
    monkeypatch.setattr(gpiozero.Device, "pin_factory", None)
    monkeypatch.setenv("GPIOZERO_PIN_FACTORY", "lgpio")
    monkeypatch.setenv("LG_WD", str(tmp_path))
    yield library
    if gpiozero.Device.pin_factory is not None:
        gpiozero.Device.pin_factory.close()
    sys.modules.pop("gpiozero.pins.lgpio", None)


@pytest.mark.parametrize(("labels", "number"), HEADER)
def test_pins_are_those_of_the_chip_labelled_as_the_header_whatever_its_number(
    tmp_path: Path, lgpio: Lgpio, labels: dict[int, str], number: int
) -> None:
    lay_chips(tmp_path, labels)
    pins = header.header_pins("float", tmp_path)
    switch = FloatSwitch("float", 17, pins=pins)
    lgpio.levels[17] = 0  # the contact leads to ground
    assert switch.read(7) == Reading(7, "float", 0.0, Quality.GOOD)
    assert (lgpio.opened, set(lgpio.claimed)) == ([number], {17})
    switch.close()


def test_the_chips_label_is_asked_for_as_the_kernels_header_says() -> None:
    """What a C compiler makes of linux/gpio.h and asm-generic/ioctl.h [R]."""
    assert GET_CHIP_INFO == 0x8044B401


def test_a_link_that_bears_another_number_is_no_chip_of_its_own(tmp_path: Path, lgpio: Lgpio) -> None:
    """Newer systems lay gpiochip4 as a link to gpiochip0, for older programs [M]."""
    lay_chips(tmp_path, {0: "9030000.pl061"})
    (tmp_path / "gpiochip4").symlink_to(tmp_path / "gpiochip0")
    assert header_chip("float", tmp_path).path == tmp_path / "gpiochip0"


def test_the_only_chip_is_the_headers_and_none_of_several_strange_ones_is(
    tmp_path: Path, lgpio: Lgpio
) -> None:
    """An emulated board's chip has another label; but on a Pi other chips switch supplies and cards."""
    lay_chips(tmp_path, {0: "9030000.pl061"})
    assert header_chip("float", tmp_path).number == 0
    lay_chips(tmp_path, {11: "gpio-brcmstb@107d508500"})
    with pytest.raises(NotFitted, match=r"found gpiochip0 \(9030000.pl061\), gpiochip11 .*allowed: pinctrl"):
        header.header_pins("float", tmp_path)
    assert lgpio.opened == []


def test_what_is_called_like_a_chip_and_is_none_is_passed_over(tmp_path: Path, lgpio: Lgpio) -> None:
    lay_chips(tmp_path, {3: "pinctrl-rp1"})
    (tmp_path / "gpiochip0").mkdir()
    (tmp_path / "gpiochip-notes").write_text("pinctrl-rp1")
    os.mkfifo(tmp_path / "gpiochip1")
    assert header_chip("float", tmp_path).number == 3


def test_where_there_is_no_chip_nobody_is_sent_to_a_group(tmp_path: Path, lgpio: Lgpio) -> None:
    with pytest.raises(NotFitted, match=r"no GPIO chip in .* on a Raspberry Pi only") as caught:
        header.header_pins("float", tmp_path)
    assert "usermod" not in str(caught.value)


def test_a_chip_that_may_not_be_opened_sends_to_the_group(
    tmp_path: Path, lgpio: Lgpio, monkeypatch: pytest.MonkeyPatch
) -> None:
    lay_chips(tmp_path, PI_4)

    def refused(path: Path, *_: object) -> int:  # root, as whom tests may run, is refused nothing
        raise PermissionError(errno.EACCES, "Permission denied", str(path))

    monkeypatch.setattr("sensors.gpio_chips.os", SimpleNamespace(**{**vars(os), "open": refused}))
    with pytest.raises(NotFitted, match="Permission denied") as caught:
        header.header_pins("float", tmp_path)
    assert "usermod -aG gpio naupliad" in caught.value.remedy


def test_a_board_that_is_no_pi_is_told_so_and_its_chip_is_let_go(
    tmp_path: Path, lgpio: Lgpio, monkeypatch: pytest.MonkeyPatch
) -> None:
    def unknown() -> int:
        raise gpiozero.PinUnknownPi("unable to locate Pi revision")

    monkeypatch.setattr(local, "get_pi_revision", unknown)
    lay_chips(tmp_path, {0: "9030000.pl061"})
    with pytest.raises(NotFitted, match=r"unable to locate Pi revision.*on a Raspberry Pi only"):
        header.header_pins("float", tmp_path)
    assert lgpio.closed == [100]
    assert gpiozero.Device.pin_factory is None


# --- light on the lamp's own scale ---


@pytest.mark.parametrize(
    ("dark", "lit", "counts", "fraction"),
    [
        (0.2, 0.7, 0.2 * 1023, 0.0),
        (0.2, 0.7, 0.45 * 1023, 0.5),
        (0.2, 0.7, 0.7 * 1023, 1.0),
        (0.7, 0.2, 0.7 * 1023, 0.0),  # the divider the other way round: more light reads lower
        (0.7, 0.2, 0.6 * 1023, 0.2),
        (0.7, 0.2, 0.2 * 1023, 1.0),
    ],
)
def test_a_calibrated_channel_reads_from_lamp_off_to_lamp_on(
    pins: MockFactory, dark: float, lit: float, counts: float, fraction: float
) -> None:
    with Converter([round(counts)] * 8, pins):
        probe = Mcp3008("tray-light", 0, dark=dark, lit=lit, pins=pins)
        reading = probe.read(0)
        assert reading.good
        assert reading.value == pytest.approx(fraction, abs=0.5 / 1023 / 0.5)  # half a count over the span
        probe.close()


@pytest.mark.parametrize(("dark", "lit"), [(0.2, 0.7), (0.7, 0.2)])
def test_light_beyond_the_two_readings_is_clipped_and_stays_good(
    pins: MockFactory, dark: float, lit: float
) -> None:
    for counts, side in ((0, dark > lit), (1023, lit > dark)):
        with Converter([counts] * 8, pins):
            probe = Mcp3008("tray-light", 0, dark=dark, lit=lit, pins=pins)
            assert probe.read(0) == Reading(0, "tray-light", 1.0 if side else 0.0, Quality.GOOD)
            probe.close()


@pytest.mark.parametrize(
    ("dark", "lit", "fraction"), [(0.3, 0.8, 1.0), (0.8, 0.3, 0.0), (0.7, 0.9, 0.5), (0.9, 0.4, 0.2)]
)
def test_a_calibrated_photocell_reads_from_lamp_off_to_lamp_on(
    circuit: CircuitFactory, dark: float, lit: float, fraction: float
) -> None:
    cell = Photocell("tray-light", 18, dark=dark, lit=lit, pins=circuit)
    circuit.pin(18).charge_s = 0.002  # of 0.01 s: 0.8 without a calibration
    reading = cell.read(3)
    assert reading.good
    assert reading.value == pytest.approx(fraction)


@given(st.floats(0, 1), st.floats(0, 1), st.floats(0, 1), st.floats(0, 1))
def test_a_scale_keeps_order_and_range_whichever_way_the_divider_goes(
    dark: float, lit: float, one: float, other: float
) -> None:
    assume(scale_fault({"dark": dark, "lit": lit}) is None)
    scale = LightScale(dark, lit)
    assert scale.fraction(dark) == 0.0
    assert scale.fraction(lit) == 1.0
    assert LightScale().fraction(one) == one
    low, high = sorted((scale.fraction(one), scale.fraction(other)), reverse=lit < dark)
    assert (scale.fraction(min(one, other)), scale.fraction(max(one, other))) == (low, high)
    assert 0.0 <= low <= 1.0
    assert 0.0 <= high <= 1.0


@pytest.mark.parametrize("raw", [-0.001, 1.001, float("inf"), float("-inf")])
def test_what_no_device_can_mean_is_not_clipped_into_a_reading(raw: float) -> None:
    assert LightScale(0.2, 0.7).fraction(raw) == raw


@pytest.mark.parametrize(
    ("keys", "fault"),
    [
        ({"dark": 0.2}, "lit: found nothing, allowed: a number, as dark is told too"),
        ({"lit": 0.7}, "dark: found nothing, allowed: a number, as lit is told too"),
        ({"dark": 0.5, "lit": 0.5}, "lit: found 0.5, allowed: at least 0.02 above or below dark (0.5)"),
        ({"dark": 0.5, "lit": 0.51}, "lit: found 0.51, allowed: at least 0.02 above or below dark (0.5)"),
        ({"dark": -0.1, "lit": 0.7}, "dark: found -0.1, allowed: a number from 0 to 1"),
        ({"dark": 0.1, "lit": 1.1}, "lit: found 1.1, allowed: a number from 0 to 1"),
        ({"dark": True, "lit": 0.5}, "dark: found True, allowed: a number from 0 to 1"),
        ({"dark": float("nan"), "lit": 0.5}, "dark: found nan, allowed: a number from 0 to 1"),
    ],
)
@pytest.mark.parametrize(("driver", "place"), [("mcp3008", {"channel": 0}), ("photocell", {"pin": 18})])
def test_a_calibration_that_cannot_be_is_refused(
    driver: str, place: dict[str, int], keys: dict[str, float], fault: str
) -> None:
    assert [str(found) for found in key_faults(driver, Measure.LIGHT_FRACTION, {**place, **keys})] == [fault]


def test_the_smallest_allowed_span_is_allowed_both_ways() -> None:
    for dark, lit in ((0.1, 0.12), (0.12, 0.1), (0.5, 0.52), (0, 1)):
        keys = {"channel": 0, "dark": dark, "lit": lit}
        assert key_faults("mcp3008", Measure.LIGHT_FRACTION, keys) == ()
