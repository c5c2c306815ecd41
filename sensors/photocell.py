"""Light from an RC photocell (a light-dependent resistor that charges a capacitor), through gpiozero.

The value is 1 − charge time / `charge_s`, or its share of the way from `dark` to `lit` where those were
read: no lux, and it depends on the capacitor. With lgpio on kernels
from 6.6.20 on, gpiozero's LightSensor always reads 0 (gpiozero issue 1135): refused here, because a lamp
that is always off would be reported every night. An MCP3008 or a lux sensor serves instead.
"""

import platform
import re
from typing import Any

from sensors.errors import NotFitted
from sensors.light_scale import LightScale
from sensors.pins import claimed, gpiozero, header_pins, pin_factory_name
from sensors.reading import Measure, Quality, Reading, judged

_BROKEN_FROM = (6, 6, 20)
_CHARGES = 5  # of which LightSensor takes the median; it discharges for 0.1 s before each
_LOOK_EVERY_S = 0.1


class Photocell:
    """One photocell on a BCM pin; `charge_s` is the longest charge that still counts as light."""

    measures = Measure.LIGHT_FRACTION

    def __init__(
        self,
        id: str,  # noqa: A002 - the Probe protocol's word
        pin: int,
        *,
        charge_s: float = 0.01,
        dark: float = 0.0,
        lit: float = 1.0,
        pins: Any = None,
        kernel: str | None = None,
    ) -> None:
        """Open it; `dark` and `lit` are raw values, `pins` is a gpiozero pin factory.

        Raises NotFitted where it cannot work, WrongKeys for a taken pin.
        """
        self.id = id
        self._pin = pin
        self._charge_s = charge_s
        self._scale = LightScale(dark, lit)
        if pins is None:
            _refuse_where_blind(id, kernel or platform.release())
        self._library = gpiozero(id)
        self._pins = pins or header_pins(id)
        claimed(id, pin, self._light_sensor).close()

    def read(self, at: int) -> Reading:
        """Read it: the median of five charges, about half a second. `absent` where the pin gives no answer.

        The sensor is opened anew each time: left open, it would charge without end, and hand out its
        last values should its thread have died.
        """
        try:
            with self._light_sensor() as cell:
                raw = float(cell.value) if self._has_charged(cell) else None
        except Exception:  # lgpio.error is no OSError
            return Reading(at, self.id, None, Quality.ABSENT)
        if raw is None:
            return Reading(at, self.id, None, Quality.ABSENT)
        return judged(at, self.id, self.measures, self._scale.fraction(raw))

    def close(self) -> None:
        """Nothing is held between readings."""

    def _has_charged(self, cell: Any) -> bool:
        """Whether all charges came, in four times their time: a cell asked for its value waits for ever."""
        looks = round(4 * _CHARGES * (0.1 + self._charge_s) / 0.1)
        return any(cell.wait_for_light(_LOOK_EVERY_S) or cell.wait_for_dark(0) for _ in range(looks))

    def _light_sensor(self) -> Any:
        return self._library.LightSensor(self._pin, charge_time_limit=self._charge_s, pin_factory=self._pins)


def _refuse_where_blind(probe: str, kernel: str) -> None:
    numbers = tuple(map(int, re.findall(r"\d+", kernel)[:3]))
    if pin_factory_name() == "lgpio" and numbers >= _BROKEN_FROM:
        raise NotFitted(
            probe,
            f"a photocell reads 0 for ever on kernel {kernel} with lgpio (from 6.6.20 on)",
            'Measure light with driver = "mcp3008", or with a lux sensor and driver = "iio".',
        )
