"""What readings tell of a thermostat: the water goes up and down between its two marks."""

from dataclasses import dataclass, replace

from daemon.seconds import HOUR_S

TURN_K = 0.2  # a probe's noise and its steps of 1/16 °C make less
SPAN_S = 24 * HOUR_S


@dataclass(frozen=True, slots=True)
class Turning:
    """Whether the water rises or falls, and how far it came, °C: it turns by more than noise."""

    falls: bool = False
    came_c: float = -99.0

    def with_reading(self, water_c: float) -> "Turning":
        """One more reading."""
        back_k = water_c - self.came_c if self.falls else self.came_c - water_c
        if back_k > TURN_K:
            return Turning(not self.falls, water_c)
        return self if back_k > 0.0 else Turning(self.falls, water_c)


@dataclass(frozen=True, slots=True)
class Seen:
    """What was read in a half hour (counted from 1970): the lowest, °C, and how often the water turned."""

    half_hour: int = 0
    low_c: float = 99.0
    turns: int = 0

    def with_reading(self, water_c: float, *, turned: bool) -> "Seen":
        """One more reading."""
        return replace(self, low_c=min(self.low_c, water_c), turns=self.turns + turned)


@dataclass(frozen=True, slots=True)
class Lowest:
    """The lowest (°C) since `began` (Unix s), and of the span before: one to two days, forgotten whole.

    A low that faded by the hour would stand above last night's by the afternoon.
    """

    began: int
    low_c: float
    before_c: float = 99.0

    @property
    def lowest_c(self) -> float:
        """The lowest of both spans, °C."""
        return min(self.low_c, self.before_c)

    def with_low(self, at: int, low_c: float) -> "Lowest":
        """One more low, in time order."""
        if at - self.began < SPAN_S:
            return replace(self, low_c=min(self.low_c, low_c))
        return Lowest(at, low_c, self.low_c)
