"""What is learned of a cup as a lump of warmth: its time constant, how far its lamp lifts it, its offset.

The water follows what surrounds it: τ dW/dt = surroundings + rise·lit − W. So from the water alone
W + τ dW/dt − rise·lit is what surrounds the cup (room, evaporation and sun in one, °C), and with the right τ
and rise that does not jump when the lamp does. The belief is an exact grid over τ; on each of its points the
rise is a normal, updated by how much the surroundings (less the room's air, where it is measured) changed
from one half hour to the next. A Student t (4 degrees) lets a window or a radiator pass.

Priors from the handbook: 1.2 h for 250 mL, growing as volume to the power 1/3 (2.4 h for 2 L) [C]; a lamp
lifts a cup by 0 to 8 K, the water settles about 1 K below the room [P].
"""

from dataclasses import dataclass
from math import exp, log, sqrt

from daemon.estimates.quantile import Z90, Estimate
from daemon.estimates.warmth.half_hours import HalfHour
from daemon.seconds import HOUR_S

TAU_H, TAU_ML = 1.2, 250.0
TAU_STEPS = tuple(exp(0.25 * k) for k in range(-4, 5))
TAU_LOG_SD = 0.35
RISE_K, RISE_SD_K, RISE_MOST_K = 4.0, 2.4, 15.0
OFFSET_K, OFFSET_SD_K = -1.0, 0.8
# Half-hour changes of what surrounds a cup, K: beyond the room's air, and with the room unknown [P].
UNREST_K, UNREST_UNKNOWN_K = 0.15, 0.25
UNREST_STEP_K = 0.7  # at a lamp's step: timers of lamps and of heating like the same hours [P]
READ_K = 0.03  # a DS18B20's step of 1/16 °C, averaged
FREEDOM = 4.0
STEP_S = 4 * HOUR_S  # how long a lamp's step is looked at; without one the room moves the water, and hides τ
TEMPERED = 0.5  # neighbouring changes share a half hour, so each counts for half
FORGOTTEN = 1.0 - 1.0 / (48 * 21)  # per half hour: three weeks
OFFSET_COUNTS = 6.0  # of correlated half hours that weigh as one


@dataclass(frozen=True, slots=True)
class CupHeat:
    """A cup's warmth as believed: time constant (h), lamp rise and offset against the room (K), with sds.

    `held_c` is where a heater holds the water (°C), None where none is believed in.
    """

    tau_h: float
    rise_k: float
    rise_sd_k: float
    offset_k: float
    offset_sd_k: float
    held_c: float | None = None

    def knowns(self) -> dict[str, Estimate]:
        """Its time constant (h), what its lamp adds and how it stands to the room (K)."""
        rise, offset = Z90 * self.rise_sd_k, Z90 * self.offset_sd_k
        return {
            "time_constant_h": Estimate(self.tau_h, self.tau_h, self.tau_h),
            "lamp_rise_k": Estimate(max(0.0, self.rise_k - rise), self.rise_k, self.rise_k + rise),
            "offset_k": Estimate(self.offset_k - offset, self.offset_k, self.offset_k + offset),
        }


@dataclass(frozen=True, slots=True)
class _Guess:
    """One time constant: the log of its weight, and its lamp rise."""

    tau_h: float
    log_weight: float
    rise_k: float
    rise_var: float


class CupHeatBelief:
    """Feed half hours in time order; without a lamp the rise is nothing."""

    def __init__(self, volume_ml: float, *, has_lamp: bool) -> None:
        usual_h = TAU_H * (max(1.0, volume_ml) / TAU_ML) ** (1.0 / 3.0)
        rise = (RISE_K, RISE_SD_K**2) if has_lamp else (0.0, 0.0)
        self._guesses = [
            _Guess(usual_h * step, -0.5 * (log(step) / TAU_LOG_SD) ** 2, *rise) for step in TAU_STEPS
        ]
        self._prior = [guess.log_weight for guess in self._guesses]
        self._before: HalfHour | None = None
        self._stepped_at: int | None = None
        self._counted, self._offset_k = 0.0, OFFSET_K
        self._heat = self._summed()

    @property
    def heat(self) -> CupHeat:
        """The cup as believed now."""
        return self._heat

    def feed(self, half_hour: HalfHour, *, night: bool) -> None:
        """A half hour without a deed inside; by night no sun falsifies the offset."""
        before, self._before = self._before, half_hour
        if before is not None and half_hour.began == before.began + round(before.hours * HOUR_S):
            if half_hour.lit != before.lit:
                self._stepped_at = half_hour.began
            if self._stepped_at is not None and half_hour.began - self._stepped_at < STEP_S:
                self._compare(before, half_hour)
        if half_hour.room_c is not None and night:
            self._counted = self._counted * FORGOTTEN + 1.0
            seen = surroundings_c(half_hour, self._heat) - half_hour.room_c
            self._offset_k += (seen - self._offset_k) / (self._counted + OFFSET_COUNTS)
        self._heat = self._summed()

    def copy(self) -> "CupHeatBelief":
        """A copy that goes its own way."""
        twin = CupHeatBelief.__new__(CupHeatBelief)
        twin.__dict__.update(self.__dict__)
        return twin

    def _compare(self, before: HalfHour, after: HalfHour) -> None:
        known = before.room_c is not None and after.room_c is not None
        room_k = (
            after.room_c - before.room_c if after.room_c is not None and before.room_c is not None else 0.0
        )
        unrest = UNREST_K if known else UNREST_UNKNOWN_K
        lit = after.lit - before.lit
        if not known and lit != 0.0:
            unrest = UNREST_STEP_K
        water_k = after.water_c - before.water_c - room_k
        slope = after.slope_k_per_h - before.slope_k_per_h
        found = [
            _weighed(guess, water_k + guess.tau_h * slope, lit, unrest, after.hours)
            for guess in self._guesses
        ]
        top = max(guess.log_weight for guess in found)
        self._guesses = [
            _Guess(g.tau_h, prior + FORGOTTEN * (g.log_weight - top - prior), g.rise_k, g.rise_var)
            for g, prior in zip(found, self._prior, strict=True)
        ]

    def _summed(self) -> CupHeat:
        top = max(guess.log_weight for guess in self._guesses)
        weights = [exp(guess.log_weight - top) for guess in self._guesses]
        total = sum(weights)
        tau_h = exp(sum(w * log(g.tau_h) for w, g in zip(weights, self._guesses, strict=True)) / total)
        rise_k = sum(w * g.rise_k for w, g in zip(weights, self._guesses, strict=True)) / total
        square = sum(
            w * (g.rise_var + (g.rise_k - rise_k) ** 2) for w, g in zip(weights, self._guesses, strict=True)
        )
        offset_sd_k = OFFSET_SD_K * sqrt(OFFSET_COUNTS / (OFFSET_COUNTS + self._counted)) + 0.1
        return CupHeat(
            tau_h, min(RISE_MOST_K, max(0.0, rise_k)), sqrt(square / total), self._offset_k, offset_sd_k
        )


def surroundings_c(half_hour: HalfHour, heat: CupHeat) -> float:
    """What surrounds a cup, lamp aside, as its water tells it, °C."""
    return half_hour.water_c + heat.tau_h * half_hour.slope_k_per_h - heat.rise_k * half_hour.lit


def _weighed(guess: _Guess, change_k: float, lit: float, unrest_k: float, hours: float) -> _Guess:
    """The guess after the surroundings (lamp included) changed by `change_k` while `lit` more was lit."""
    reading_k = READ_K * guess.tau_h / hours
    noise = unrest_k * unrest_k + reading_k * reading_k
    spread = noise + lit * lit * guess.rise_var
    miss = change_k - lit * guess.rise_k
    odd = 1.0 + miss * miss / (FREEDOM * spread)
    # The density of what was read: the surroundings' own, times τ, by which they were stretched.
    log_density = -0.5 * (FREEDOM + 1.0) * log(odd) - 0.5 * log(spread) + log(guess.tau_h)
    gain = lit * guess.rise_var / (noise * odd + lit * lit * guess.rise_var)
    return _Guess(
        guess.tau_h,
        guess.log_weight + TEMPERED * log_density,
        guess.rise_k + gain * miss,
        guess.rise_var * (1.0 - gain * lit),
    )
