"""Light from a divider at an MCP3008 (10 bit, SPI), through gpiozero.

The light-dependent resistor goes to 3.3 V and the fixed one to ground, so that more light reads higher.
The value is a share of full scale, or of the way from `dark` to `lit` where those were read: no lux, and
comparable only with itself. SPI has no answer that says
"I am here": a chip that fell off reads a steady 0 or 1, which only looks like dark or bright.
"""

import warnings
from typing import Any

from sensors.errors import KeyFault, NotFitted, WrongKeys
from sensors.light_scale import LightScale
from sensors.pins import gpiozero, header_pins
from sensors.reading import Measure, Quality, Reading, judged

_FULL_SCALE = 1023  # 10 bit


class Mcp3008:
    """One channel (0–7) of the MCP3008 at chip select `device` (0 is CE0)."""

    measures = Measure.LIGHT_FRACTION

    def __init__(
        self,
        id: str,  # noqa: A002 - the Probe protocol's word
        channel: int,
        *,
        device: int = 0,
        dark: float = 0.0,
        lit: float = 1.0,
        pins: Any = None,
    ) -> None:
        """Open it; `dark` and `lit` are raw shares of full scale, `pins` is a gpiozero pin factory.

        Raises NotFitted without SPI, WrongKeys when its pins are taken.
        """
        self.id = id
        self._scale = LightScale(dark, lit)
        library = gpiozero(id)
        pins = pins or header_pins(id)
        try:
            with warnings.catch_warnings():
                # Falling back to bit-banging on pins that the kernel's SPI holds would read nonsense.
                warnings.simplefilter("error", library.SPISoftwareFallback)
                self._adc = library.MCP3008(channel, port=0, device=device, pin_factory=pins)
        except library.GPIOPinInUse as error:
            raise WrongKeys(
                id, KeyFault("device", device, f"a chip select with free pins ({error})")
            ) from error
        except Exception as error:
            raise NotFitted(
                id,
                f"no SPI ({error})",
                "Add the line dtparam=spi=on to /boot/firmware/config.txt, put Naupliad's user in the group"
                " spi (sudo usermod -aG spi naupliad) and restart the Pi.",
            ) from error

    def read(self, at: int) -> Reading:
        """Read it: `absent` where the bus gives no answer."""
        try:
            raw = self._adc.raw_value / _FULL_SCALE
        except Exception:  # lgpio.error is no OSError
            return Reading(at, self.id, None, Quality.ABSENT)
        return judged(at, self.id, self.measures, self._scale.fraction(raw))

    def close(self) -> None:
        """Let go of the bus."""
        self._adc.close()
