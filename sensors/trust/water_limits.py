"""What water in a vessel can do: how fast it may change, how slowly it follows the room.

The figures are limits of a thermometer's believability, not the model that hatch and water are computed with.
"""

from dataclasses import dataclass
from math import pi

# No lamp over a vessel gives more than full sunlight does: 1000 W/m², the figure that solar equipment is
# rated at (IEC 60904-3, standard test conditions) [M].
_STRONGEST_W_PER_M2 = 1000.0
_WATER_J_PER_ML_K = 4.18
# A DS18B20 shows steps of 1/16 °C; two of them, a noisy conversion and a badly mixed pour [P].
_JUMP_MARGIN_K = 0.25
# Handbook, warmth: 250 mL follow with 1.2 h, 2 L with 2.4 h, so the lag grows with the length of the side.
_LAG_S = 1.2 * 3600
_LAG_AT_ML = 250.0
# A lamp that lifts the water more than this above the room is none for a hatch (23 to 28 °C wanted) [P].
_LAMP_LIFT_K = 15.0
_HELD_K = 1.5  # a thermostat's band, and how far off its scale may be [P]
_HEATS_K_PER_S = 0.1 / 60  # the least that a heater which is on does to water far below its level [P]


@dataclass(frozen=True, slots=True)
class WaterLimits:
    """A vessel's content, as far as its thermometer is concerned. `volume_ml` is above 0; `heater_c` is where
    a heater is known to hold it."""

    volume_ml: float
    heater_c: float | None = None

    def __post_init__(self) -> None:
        if not 1.0 <= self.volume_ml <= 1e6:
            raise ValueError(f"volume_ml: found {self.volume_ml}; allowed: 1 to 1000000 mL")

    @property
    def fastest_k_per_s(self) -> float:
        """The most that light can heat it.

        The sun's strength on its surface and on its side together, over its heat capacity. A vessel as high
        as wide, of diameter d = (4V/π)^⅓, shows π/4·d² above and d² at its side. 250 mL: 0.48 K a minute.
        """
        diameter_m = float((4 * self.volume_ml * 1e-6 / pi) ** (1 / 3))
        seen_m2 = (pi / 4 + 1.0) * diameter_m**2
        return _STRONGEST_W_PER_M2 * seen_m2 / (self.volume_ml * _WATER_J_PER_ML_K)

    @property
    def lag_s(self) -> float:
        """How slowly it follows the room: its usual time constant."""
        return _LAG_S * float((self.volume_ml / _LAG_AT_ML) ** (1 / 3))

    @property
    def lamp_k_per_s(self) -> float:
        """The fastest that a lamp fit for a hatch warms it, or that it cools when the lamp goes off."""
        return _LAMP_LIFT_K / self.lag_s

    def is_held(self, water_c: float) -> bool:
        """Whether it has come to where the heater holds it: no air is found there by chance."""
        return self.heater_c is not None and abs(water_c - self.heater_c) <= _HELD_K

    def is_heated(self, rise_k: float, seconds: float, water_c: float) -> bool:
        """Whether so much of a rise may be the heater's: it goes on until the water is held, in air not."""
        return self.heater_c is not None and water_c < self.heater_c and rise_k >= _HEATS_K_PER_S * seconds

    def jump_k(self, seconds: float) -> float:
        """More than this between two good readings is no change of the water, unless somebody poured."""
        return self.fastest_k_per_s * seconds + _JUMP_MARGIN_K
