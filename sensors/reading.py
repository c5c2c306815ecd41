"""A reading, what it measures and how far it is believed."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol


class Measure(StrEnum):
    """What a probe measures; the unit stands in the name."""

    WATER_C = "water_c"
    LIGHT_LUX = "light_lux"
    LIGHT_FRACTION = "light_fraction"
    ROOM_C = "room_c"
    ROOM_RH_PCT = "room_rh_pct"
    FLOAT_LOW = "float_low"


class Quality(StrEnum):
    """Whether a reading is believed, and why not."""

    GOOD = "good"
    ABSENT = "absent"
    CRC = "crc"
    RESET = "reset"
    RANGE = "range"
    JUMP = "jump"
    STUCK = "stuck"
    IN_AIR = "in-air"


# What a station can meet and still be a station: outside it the device is wrong, not the weather.
BELIEVABLE: dict[Measure, tuple[float, float]] = {
    Measure.WATER_C: (-5.0, 60.0),
    Measure.LIGHT_LUX: (0.0, 200_000.0),
    Measure.LIGHT_FRACTION: (0.0, 1.0),
    Measure.ROOM_C: (-20.0, 60.0),
    Measure.ROOM_RH_PCT: (0.0, 100.0),
    Measure.FLOAT_LOW: (0.0, 1.0),
}


@dataclass(frozen=True, slots=True)
class Reading:
    """One value of one probe.

    `at` is whole Unix seconds, UTC. `value` is in the unit of the probe's `Measure`, or None when
    the device gave none; a value that is there but not believed keeps it beside its `quality`.
    """

    at: int
    probe: str
    value: float | None
    quality: Quality

    @property
    def good(self) -> bool:
        """Whether the value may be used as a measurement."""
        return self.quality is Quality.GOOD


def judged(at: int, probe: str, measures: Measure, value: float) -> Reading:
    """The reading of a device that answered: good inside the believable range, else `range`.

    NaN and infinities are outside every range and keep no value.
    """
    low, high = BELIEVABLE[measures]
    if low <= value <= high:
        return Reading(at, probe, value, Quality.GOOD)
    return Reading(at, probe, value if abs(value) < 1e9 else None, Quality.RANGE)


class Probe(Protocol):
    """One device or channel on the bench."""

    @property
    def id(self) -> str:
        """The name the station file gives it."""

    @property
    def measures(self) -> Measure:
        """What it measures, with its unit."""

    def read(self, at: int) -> Reading:
        """Read it now, for the beat of time `at`. Never raises for what a device can do wrong."""

    def close(self) -> None:
        """Let go of pins, files and threads."""


class Bench(Protocol):
    """All probes of a station, read together once a beat."""

    def sample(self, at: int) -> Sequence[Reading]:
        """The readings that belong to the beat of time `at`, in time order; none when none were due."""

    def close(self) -> None:
        """Let go of every probe."""
