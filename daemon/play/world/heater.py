"""A heater in a vessel, switched by a thermostat: on below its band, off above it, as long as it works."""


class Heater:
    """Power in W, °C, and K of band between off and on. `works` is a story's switch."""

    def __init__(self, power_w: float, holds_c: float, band_k: float) -> None:
        self._power_w, self._holds_c, self._band_k = power_w, holds_c, band_k
        self._on = False
        self.works = True

    def power_w(self, water_c: float) -> float:
        """What it gives to water of that warmth."""
        if water_c <= self._holds_c - 0.5 * self._band_k:
            self._on = True
        elif water_c >= self._holds_c + 0.5 * self._band_k:
            self._on = False
        return self._power_w if self._on and self.works else 0.0
