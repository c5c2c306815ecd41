"""Readings of a thermometer and of the room beside it, gathered by the half hour.

A mean of half an hour no longer shows how often a station reads, nor the steps and the noise of its devices:
so whatever is made of it holds at any sampling from a minute to half an hour.
"""

from collections.abc import Callable
from dataclasses import dataclass

from sensors.trust.room_lag import Sample

HALF_HOUR_S = 1800


@dataclass(frozen=True, slots=True)
class ProbeHalfHour:
    """The mean of a half hour's readings.

    `began` is the first of them and `at` their mean time (Unix s); `water_c` and `room_c` are in °C; `lit` is
    how much of it lies in the lamp's hours (0 to 1).
    """

    began: int
    at: float
    water_c: float
    room_c: float
    lit: float

    @property
    def off_k(self) -> float:
        """How far the thermometer stands above the room."""
        return self.water_c - self.room_c


class ProbeHalfHours:
    """Gathers samples until a half hour of the clock is over."""

    def __init__(self, lit: Callable[[int], bool] | None) -> None:
        """`lit` says whether a lamp's hours include a moment; None where the vessel has none."""
        self._lit = lit
        self._samples: list[Sample] = []

    def take(self, sample: Sample) -> ProbeHalfHour | None:
        """One more sample; the half hour that it ended, if it did and the room was read in it."""
        done = None
        if self._samples and sample.at // HALF_HOUR_S != self._samples[0].at // HALF_HOUR_S:
            done, self._samples = self._mean(), []
        self._samples.append(sample)
        return done

    def drop(self) -> None:
        """Forget the half hour under way: it holds readings that are not believed."""
        self._samples = []

    def _mean(self) -> ProbeHalfHour | None:
        known = [(s.at, s.water_c, s.room_c) for s in self._samples if s.room_c is not None]
        if not known:
            return None
        count = len(known)
        at, water_c, room_c = (sum(column) / count for column in zip(*known, strict=True))
        moments = {known[0][0], known[count // 2][0], known[-1][0]}
        lit = 0.0 if self._lit is None else sum(map(self._lit, moments)) / len(moments)
        return ProbeHalfHour(known[0][0], at, water_c, room_c, lit)
