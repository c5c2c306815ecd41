"""Light with the lamp off and with the lamp on, and what the station file should say of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, log10, sqrt
from statistics import median

from sensors.light_scale import LEAST_SPAN

READINGS = 10
EVERY_S = 1
# A light-dependent resistor takes seconds to settle after a step of light (data sheets of such parts [M]).
SETTLE_S = 5
# A lamp that does not even double the light cannot be told from a cloud (judgement, no source).
_LEAST_RATIO = 2.0
_LEAST_LUX = 10.0


@dataclass(frozen=True, slots=True)
class LightVerdict:
    """Keys with their values for the station file; empty where `account` says why there are none."""

    keys: dict[str, float]
    account: str


def lamp_scale(off: Sequence[float], on: Sequence[float]) -> LightVerdict:
    """`dark` and `lit` from raw shares of full scale (0–1), one list with the lamp off, one with it on."""
    dark, lit = round(median(off), 3), round(median(on), 3)
    told = f"lamp off {dark:g} ({_range(off)}), lamp on {lit:g} ({_range(on)})"
    if round(abs(lit - dark), 9) < LEAST_SPAN:
        return LightVerdict({}, f"{told}: alike; they must be {LEAST_SPAN:g} apart")
    if max(min(off), min(on)) <= min(max(off), max(on)):
        return LightVerdict({}, f"{told}: the readings overlap")
    return LightVerdict({"dark": dark, "lit": lit}, told)


def lamp_limit(off: Sequence[float], on: Sequence[float]) -> LightVerdict:
    """`low_light_lux`, as many times above the light with the lamp off as below that with it on."""
    dark, lit = median(off), median(on)
    told = f"lamp off {dark:.0f} lux, lamp on {lit:.0f} lux"
    if lit < _LEAST_RATIO * dark or lit - dark < _LEAST_LUX:
        return LightVerdict(
            {}, f"{told}: alike; with the lamp on it must be at least double, and 10 lux more"
        )
    # Nothing but noise lies below a lux; as a factor it would weigh like any other.
    return LightVerdict({"low_light_lux": _two_digits(sqrt(max(dark, 1.0) * lit))}, told)


def _two_digits(value: float) -> float:
    return round(value, 1 - floor(log10(value)))


def _range(values: Sequence[float]) -> str:
    return f"{min(values):.3f} to {max(values):.3f}"
