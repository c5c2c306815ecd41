"""A float switch between a pin and ground, through gpiozero: 1.0 when the water is low.

`low_when` says how the contact stands at low water. Mount it to be open then, the default: a broken wire
reads as low water and is looked at, instead of hiding it.
"""

from typing import Any

from sensors.pins import claimed, gpiozero, header_pins
from sensors.reading import Measure, Quality, Reading, judged


class FloatSwitch:
    """One float switch on a BCM pin, with the Pi's own pull-up."""

    measures = Measure.FLOAT_LOW

    def __init__(self, id: str, pin: int, *, low_when: str = "open", pins: Any = None) -> None:  # noqa: A002 - the protocol's word
        """Open it; `pins` is a gpiozero pin factory.

        Raises NotFitted without GPIO, WrongKeys for a taken pin.
        """
        self.id = id
        self._closed_value = 1.0 if low_when == "closed" else 0.0
        library = gpiozero(id)
        pins = pins or header_pins(id)
        # InputDevice and not Button: read once a beat, it needs no edge events and their thread.
        self._contact = claimed(id, pin, lambda: library.InputDevice(pin, pull_up=True, pin_factory=pins))

    def read(self, at: int) -> Reading:
        """Read it: `absent` where the pin gives no answer."""
        try:
            closed = bool(self._contact.value)
        except Exception:  # lgpio.error is no OSError
            return Reading(at, self.id, None, Quality.ABSENT)
        return judged(at, self.id, self.measures, self._closed_value if closed else 1.0 - self._closed_value)

    def close(self) -> None:
        """Let go of the pin."""
        self._contact.close()
