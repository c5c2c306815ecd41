"""The light and the button on the Pi: the pattern says it, the colour only repeats it.

The beat tells what to show. Between two beats the loop sleeps for a minute, and waking it for every flash
would take a transaction each time; so one thread of the indicator's own sleeps from one change of the light
to the next, and dies with the process. It never says "well" on its own account: a light that the beat has
stopped saying anything shows `BLIND`.
"""

import logging
import threading
import time
from collections.abc import Callable
from contextlib import ExitStack
from enum import StrEnum
from functools import partial
from typing import Any

from daemon.station import IndicatorPins
from sensors.errors import SensorError
from sensors.pins import claimed, gpiozero, header_pins

log = logging.getLogger(__name__)

_NAME = "indicator"
# A press is held down longer; what a lamp's switch sends through a long wire is not (common practice).
_BOUNCE_S = 0.05
_CLOSE_S = 1.0


class Signal(StrEnum):
    """What the light can say."""

    URGENT = "urgent"
    BLIND = "blind"
    SOON = "soon"
    SEEN = "seen"
    WELL = "well"


# (brightness, seconds), over and over. At most two flashes a second: more than three in a second can harm
# (WCAG 2, success criterion 2.3.1).
PATTERNS: dict[Signal, tuple[tuple[float, float], ...]] = {
    Signal.URGENT: ((1.0, 0.25), (0.0, 0.25)),
    Signal.BLIND: ((1.0, 0.2), (0.0, 0.3), (1.0, 0.2), (0.0, 2.3)),
    Signal.SOON: ((1.0, 1.0), (0.0, 1.0)),
    Signal.SEEN: ((1.0, 1.0),),
    Signal.WELL: ((1.0, 0.1), (0.0, 4.9)),
}
# Red, green, blue: on or off, as dimming would keep yet another thread busy.
COLOURS: dict[Signal, tuple[float, float, float]] = {
    Signal.URGENT: (1.0, 0.0, 0.0),
    Signal.BLIND: (0.0, 0.0, 1.0),
    Signal.SOON: (1.0, 1.0, 0.0),
    Signal.SEEN: (1.0, 1.0, 0.0),
    Signal.WELL: (0.0, 1.0, 0.0),
}


def pattern(signal: Signal, t: float) -> float:
    """The brightness, 0 to 1, `t` seconds after a signal was first shown."""
    return _step(signal, t)[0]


def until_change_s(signal: Signal, t: float) -> float:
    """Seconds from `t` until the brightness may change."""
    return _step(signal, t)[1]


def _step(signal: Signal, t: float) -> tuple[float, float]:
    steps = PATTERNS[signal]
    left = max(0.0, t) % sum(seconds for _, seconds in steps)
    for brightness, seconds in steps:
        if left < seconds:
            return brightness, seconds - left
        left -= seconds
    return steps[0]  # rounding put the moment at the very end, which is the beginning


class Indicator:
    """The light and the button, as far as the station has them and the machine gives them."""

    def __init__(
        self,
        fitted: IndicatorPins,
        wake: threading.Event,
        *,
        patience_s: float,
        pins: Any = None,
        now: Callable[[], float] = time.monotonic,
    ) -> None:
        """Take the pins; what cannot be had is logged and left out: the watch matters more than its light.

        `wake` is set at a press. Given nothing to show for over `patience_s` seconds, the light shows BLIND.
        `pins` is a gpiozero pin factory, or the Pi's; `now` gives seconds that never step.
        """
        self._wake = wake
        self._patience_s = patience_s
        self._now = now
        self._press = threading.Event()
        self._nudge = threading.Event()
        self._closing = False
        self._failed = False
        self._thread: threading.Thread | None = None
        self._shown = (Signal.BLIND, now(), now())
        self._lights: tuple[Any, ...] = ()
        self._button: Any = None
        pins = pins or _tried("light and button", partial(header_pins, _NAME))
        if pins is not None:
            self._lights = _tried("light", partial(_lights_on, fitted, pins)) or ()
            self._button = _tried("button", partial(self._button_on, fitted, pins))

    def start(self) -> None:
        """Light up from now on, in a thread of its own; without a light there is none."""
        if self._lights:
            self._thread = threading.Thread(target=self._keep_time, name="indicator", daemon=True)
            self._thread.start()

    def show(self, signal: Signal) -> None:
        """Say this from now on; said again, the pattern runs on."""
        before, since, _ = self._shown
        now = self._now()
        self._shown = (signal, since if signal is before else now, now)
        self._nudge.set()

    def pressed(self) -> bool:
        """Whether the button was pressed since this last looked."""
        was = self._press.is_set()
        self._press.clear()
        return was

    def tick(self) -> float:
        """Set the light as it should be now; returns the seconds until it is to be set again."""
        signal, since, shown_at = self._shown
        now = self._now()
        if now - shown_at > self._patience_s:
            signal = Signal.BLIND
        self._set(signal, pattern(signal, now - since))
        return until_change_s(signal, now - since)

    def close(self) -> None:
        """End the thread, put the light out, give the pins back."""
        self._closing = True
        self._nudge.set()
        if self._thread is not None:
            self._thread.join(_CLOSE_S)
        for device in (*self._lights, *([self._button] if self._button else [])):
            _tried("pin", device.close)
        self._lights, self._button = (), None

    def _keep_time(self) -> None:
        while not self._closing:
            self._nudge.clear()
            pause_s = self.tick()
            if not self._closing:
                self._nudge.wait(pause_s)

    def _set(self, signal: Signal, brightness: float) -> None:
        channels = COLOURS[signal] if len(self._lights) == 3 else (1.0,) * len(self._lights)
        try:
            for light, channel in zip(self._lights, channels, strict=True):
                light.value = channel * brightness
        except Exception as error:  # lgpio.error has no base but this
            if not self._failed:
                log.warning("[indicator]: the light cannot be set (%s); it is tried again.", error)
            self._failed = True
        else:
            self._failed = False

    def _button_on(self, fitted: IndicatorPins, pins: Any) -> Any:
        if fitted.button is None:
            return None
        # Not gpiozero's Button: its thread looks ten times a second whether the button is held down.
        make = partial(
            gpiozero(_NAME).DigitalInputDevice,
            fitted.button,
            pull_up=True,
            bounce_time=_BOUNCE_S,
            pin_factory=pins,
        )
        button = claimed(_NAME, fitted.button, make)
        button.when_activated = self._press_noted
        return button

    def _press_noted(self) -> None:
        """In a thread of gpiozero's: what follows is done by the beat."""
        self._press.set()
        self._wake.set()


def _lights_on(fitted: IndicatorPins, pins: Any) -> tuple[Any, ...]:
    """One LED, or three, all or none."""
    library = gpiozero(_NAME)
    lights = []
    with ExitStack() as undo:
        for pin in fitted.lights:
            make = partial(library.LED, pin, active_high=fitted.lit_when == "high", pin_factory=pins)
            lights.append(claimed(_NAME, pin, make))
            undo.callback(lights[-1].close)
        undo.pop_all()
    return tuple(lights)


def _tried(what: str, make: Callable[[], Any]) -> Any:
    """What `make` gives, or None and a line in the log."""
    try:
        return make()
    except SensorError as error:
        log.warning("[indicator]: %s. %s Going on without the %s.", error.account, error.remedy, what)
    except Exception as error:  # lgpio.error has no base but this
        log.warning("[indicator]: the %s failed (%s); going on without it.", what, error)
    return None
