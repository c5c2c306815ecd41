"""What the readings of a guided calibration come to: a thermometer in ice, a light probe under its lamp.

Clean ice melting in clean water stands at 0 °C, within 0.01 °C at any air pressure a school has (it falls by
0.0075 °C per atmosphere [M]). Each gram of salt in a litre of tap water lowers that by 0.06 °C [M]: no less
than a DS18B20's finest step.
"""

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, log10, sqrt
from statistics import fmean, median

from sensors.light_scale import LEAST_SPAN

ICE_EVERY_S = 5
ICE_STEADY_S = 60
ICE_LONGEST_S = 900
# A thermometer that stays away for so long is not on its way to 0 °C any more.
_AWAY_S = 180
_FAULTS_MOST = 6
# A DS18B20 is right within 0.5 °C from −10 to +85 °C and within 2 °C anywhere (data sheet, the second figure
# from memory). Further off, it is the water or the probe: unstirred water at the bottom of a glass stands at
# 4 °C, where it is densest.
ICE_NEAR_K = 2.0
GENUINE_K = 0.5

LAMP_READINGS = 10
LAMP_EVERY_S = 1
# A light-dependent resistor takes seconds to settle after a step of light (data sheets of such parts [M]).
LAMP_SETTLE_S = 5
# A lamp that does not even double the light might as well be a cloud (judgement, no source).
_LEAST_RATIO = 2.0
_LEAST_LUX = 10.0


@dataclass(frozen=True, slots=True)
class IceVerdict:
    """How the check ended: what the thermometer read without an offset, or why there is no answer."""

    steady_c: float | None
    account: str

    @property
    def offset_c(self) -> float | None:
        """What to add to its readings, °C, in steps of 0.01; None where the check gave no answer."""
        # Adding 0.0 turns -0.0 into 0.0.
        return None if self.steady_c is None else round(-self.steady_c, 2) + 0.0


class IceBath:
    """Takes readings until they are steady near 0 °C, or will not be. `step_c` is the thermometer's step."""

    def __init__(self, step_c: float) -> None:
        self._step_c = step_c
        self._read: deque[tuple[float, float]] = deque()
        self._faults = 0

    def take(self, after_s: float, raw_c: float | None) -> IceVerdict | None:
        """The verdict after a reading without offset, `after_s` seconds from the begin; None: read on.

        `raw_c` is None where the probe gave no good reading: the minute begins anew.
        """
        if raw_c is None:
            self._read.clear()
            self._faults += 1
            if self._faults >= _FAULTS_MOST:
                return IceVerdict(None, f"{self._faults} readings in a row were not good")
            return self._out_of_time(after_s)
        self._faults = 0
        self._read.append((after_s, raw_c))
        while len(self._read) > 1 and after_s - self._read[1][0] >= _AWAY_S:
            self._read.popleft()
        return self._steady(after_s) or self._out_of_time(after_s)

    def spread_c(self, last_s: float) -> float | None:
        """Between the lowest and the highest reading of the last seconds; None where they are not covered."""
        last = self._last(last_s)
        return None if last is None else max(last) - min(last)

    def steady_share(self) -> float:
        """How much of the steady minute there is, 0 to 1: since when all readings are within a step."""
        if not self._read:
            return 0.0
        newest_s, raw_c = self._read[-1]
        since_s, low_c, high_c = newest_s, raw_c, raw_c
        for at_s, raw_c in reversed(self._read):
            low_c, high_c = min(low_c, raw_c), max(high_c, raw_c)
            if high_c - low_c > self._step_c + 1e-6:
                break
            since_s = at_s
        return min((newest_s - since_s) / ICE_STEADY_S, 1.0)

    def _steady(self, after_s: float) -> IceVerdict | None:
        last = self._last(ICE_STEADY_S)
        if last is None or len(last) < 2 or not self._within_a_step(ICE_STEADY_S):
            return None
        # On its way down a probe may show two steps in a minute; then the minute's halves differ.
        early, late = last[: len(last) // 2], last[len(last) // 2 :]
        mean_c = fmean(late)
        if abs(fmean(early) - mean_c) > self._step_c / 4:
            return None
        if abs(mean_c) <= ICE_NEAR_K:
            return IceVerdict(mean_c, f"steady at {mean_c:.2f} °C after {after_s:.0f} s")
        if self._within_a_step(_AWAY_S):
            return IceVerdict(None, f"steady at {mean_c:.2f} °C, which is not near 0 °C")
        return None

    def _within_a_step(self, last_s: float) -> bool:
        spread = self.spread_c(last_s)
        return spread is not None and spread <= self._step_c + 1e-6

    def _last(self, last_s: float) -> list[float] | None:
        """The readings of the last seconds; None where they do not reach back so far."""
        newest = self._read[-1][0] if self._read else 0.0
        if not self._read or newest - self._read[0][0] < last_s:
            return None
        return [raw_c for at, raw_c in self._read if newest - at <= last_s]

    def _out_of_time(self, after_s: float) -> IceVerdict | None:
        if after_s < ICE_LONGEST_S:
            return None
        spread = self.spread_c(ICE_STEADY_S)
        by = "" if spread is None else f": in the last minute it changed by {spread:.2f} °C"
        return IceVerdict(None, f"not steady within {ICE_LONGEST_S // 60} minutes{by}")


@dataclass(frozen=True, slots=True)
class LightVerdict:
    """Keys with their values for the station file; empty where `account` says why there are none."""

    keys: dict[str, float]
    account: str


def lamp_scale(off: Sequence[float], on: Sequence[float]) -> LightVerdict:
    """`dark` and `lit` from raw shares of full scale (0–1), one list with the lamp off, one with it on."""
    dark, lit = round(median(off), 3), round(median(on), 3)
    medians = f"lamp off {dark:g} ({_range(off)}), lamp on {lit:g} ({_range(on)})"
    if round(abs(lit - dark), 9) < LEAST_SPAN:
        return LightVerdict({}, f"{medians}: alike; they must be {LEAST_SPAN:g} apart")
    if max(min(off), min(on)) <= min(max(off), max(on)):
        return LightVerdict({}, f"{medians}: the readings overlap")
    return LightVerdict({"dark": dark, "lit": lit}, medians)


def lamp_limit(off: Sequence[float], on: Sequence[float]) -> LightVerdict:
    """`low_light_lux`, as many times above the light with the lamp off as below that with it on."""
    dark, lit = median(off), median(on)
    medians = f"lamp off {dark:.0f} lux, lamp on {lit:.0f} lux"
    if lit < _LEAST_RATIO * dark or lit - dark < _LEAST_LUX:
        return LightVerdict(
            {}, f"{medians}: alike; with the lamp on it must be at least double, and 10 lux more"
        )
    # Nothing but noise lies below a lux; as a factor it would weigh like any other.
    return LightVerdict({"low_light_lux": _two_digits(sqrt(max(dark, 1.0) * lit))}, medians)


def _two_digits(value: float) -> float:
    return round(value, 1 - floor(log10(value)))


def _range(values: Sequence[float]) -> str:
    return f"{min(values):.3f} to {max(values):.3f}"
