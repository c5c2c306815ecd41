"""A thermometer in water, by the half hour: it follows the room with a lag.

dT/dt = (room + b + k·lamp − T)/lag. What evaporation takes and heater or sun add (b, which wanders) and what
the lamp adds (k) are learned as they come by Kalman filters (Kalman 1960, J. Basic Eng. 82), one for each of
some lags, with the lamp burning and not: its hours say when it should, but timers are set wrong and lamps
fail. So what a vessel did before is what is expected of it.
"""

from dataclasses import dataclass
from math import exp

from sensors.trust.half_hour_odds import likelihood, surprised
from sensors.trust.half_hours import ProbeHalfHour

# Shares of the usual lag, from half empty to a heater that holds it, and how a good mean errs, K: what a
# thermostat does to and fro may fall between two readings [P].
_KINDS = ((0.5, 0.05), (0.8, 0.05), (1.25, 0.05), (2.0, 0.05), (4.0, 0.05), (4.0, 0.2))
_TURNS_PER_H = 0.0005  # another lag [P]
# How likely a lamp turns in a half hour: when its hours say so, later than they say, and by itself [P].
_ON_TIME, _LATE, _BY_ITSELF = 0.85, 0.15, 0.005
_HOPELESS = 1e-3
# K per √h: how far water and what is added wander [P].
_WATER_WANDERS_K = 0.08
_ADDED_WANDERS_K = 0.12
_LAMP_WANDERS_K = 0.05
# Mean and standard deviation before anything is known, K: open water stands up to 2.5 K below its room (wet
# bulb, docs/explanation/science.md), a lamp for a hatch lifts it by some K, a heater by more [P].
_ADDED_K = (-0.3, 1.5)
_LAMP_K = (2.0, 2.0)
# What a vessel that was out of sight may have changed by [P].
_CHANGED_K = (0.5, 0.3)


@dataclass(frozen=True, slots=True)
class Water:
    """One lag's belief of water, b and k (°C, K, K), with their covariances (ww, wb, wk, bb, bk, kk).

    A mean of half an hour errs by `read_k`.
    """

    lag_s: float
    read_k: float
    burns: bool
    mean: tuple[float, float, float]
    spread: tuple[float, float, float, float, float, float]

    def moved(self, before: ProbeHalfHour, now: ProbeHalfHour, *, burns: bool) -> "Water":
        """What it expects of the next half hour, if the lamp burns then or if it does not."""
        seconds = now.at - before.at
        keep = exp(-seconds / self.lag_s)
        added, lamp = 1.0 - keep, 0.5 * (1.0 - keep) * (self.burns + burns)
        lagging_k = (now.room_c - before.room_c) / seconds * self.lag_s
        driven_c = now.room_c - lagging_k - keep * (before.room_c - lagging_k)
        w, b, k = self.mean
        ww, wb, wk, bb, bk, kk = self.spread
        of_w, of_b, of_k = (
            keep * first + added * second + lamp * third
            for first, second, third in ((ww, wb, wk), (wb, bb, bk), (wk, bk, kk))
        )
        hours = seconds / 3600.0
        spread = (
            keep * of_w + added * of_b + lamp * of_k + _WATER_WANDERS_K**2 * hours,
            of_b,
            of_k,
            bb + _ADDED_WANDERS_K**2 * hours,
            bk,
            kk + _LAMP_WANDERS_K**2 * hours,
        )
        return Water(
            self.lag_s, self.read_k, burns, (keep * w + driven_c + added * b + lamp * k, b, k), spread
        )

    def seen(self, water_c: float) -> "tuple[float, Water]":
        """How likely the reading is, per K, and what it teaches. What surprises was poured, or the sun."""
        surprise_k = water_c - self.mean[0]
        ww, wb, wk, bb, bk, kk = self.spread
        variance = ww + self.read_k**2
        likely = likelihood(surprise_k, variance)
        if surprised(surprise_k, variance):
            ww, bb = ww + surprise_k**2, bb + (0.5 * surprise_k) ** 2
            variance = ww + self.read_k**2
        gain_w, gain_b, gain_k = ww / variance, wb / variance, wk / variance
        w, b, k = self.mean
        mean = (w + gain_w * surprise_k, b + gain_b * surprise_k, k + gain_k * surprise_k)
        spread = (
            ww - gain_w * ww,
            wb - gain_w * wb,
            wk - gain_w * wk,
            bb - gain_b * wb,
            bk - gain_b * wk,
            kk - gain_k * wk,
        )
        return likely, Water(self.lag_s, self.read_k, self.burns, mean, spread)

    def like(self, best: "Water") -> "Water":
        """The best belief, with this one's lag and lamp: what failed begins anew from there."""
        return Water(self.lag_s, self.read_k, self.burns, best.mean, best.spread)


@dataclass(frozen=True, slots=True)
class WaterCourse:
    """All that is believed of a vessel's water: some lags, each with its weight, and the newest half hour."""

    beliefs: tuple[tuple[float, Water], ...]
    newest: ProbeHalfHour

    @classmethod
    def begun(cls, first: ProbeHalfHour, lag_s: float) -> "WaterCourse":
        """Nothing is known but the first reading and the vessel's usual lag, s."""
        mean = (first.water_c, _ADDED_K[0], _LAMP_K[0])
        beliefs = []
        for share, read_k in _KINDS:
            spread = (read_k**2, 0.0, 0.0, _ADDED_K[1] ** 2, 0.0, _LAMP_K[1] ** 2)
            beliefs += [Water(lag_s * share, read_k, burns, mean, spread) for burns in (True, False)]
        return cls(tuple((1.0 / len(beliefs), water) for water in beliefs), first)

    def again(self, now: ProbeHalfHour) -> "WaterCourse":
        """The same vessel after a while in which its water was not seen: only `now` is known of it."""
        beliefs = []
        for weight, water in self.beliefs:
            _, _, _, bb, bk, kk = water.spread
            spread = (water.read_k**2, 0.0, 0.0, bb + _CHANGED_K[0] ** 2, bk, kk + _CHANGED_K[1] ** 2)
            mean = (now.water_c, *water.mean[1:])
            beliefs.append((weight, Water(water.lag_s, water.read_k, water.burns, mean, spread)))
        return WaterCourse(tuple(beliefs), now)

    def next(self, now: ProbeHalfHour) -> "tuple[float, WaterCourse]":
        """How likely the next half hour is (per K), and what it teaches."""
        turned = min(0.5, _TURNS_PER_H * (now.at - self.newest.at) / 3600.0) / len(_KINDS)
        found: dict[tuple[float, float, bool], list[tuple[float, Water]]] = {}
        for weight, water in self.beliefs:
            for burns in (True, False):
                likely, taught = water.moved(self.newest, now, burns=burns).seen(now.water_c)
                likely *= _turns(self.newest, now, before=water.burns, after=burns)
                found.setdefault((water.lag_s, water.read_k, burns), []).append(
                    ((weight + turned) * likely, taught)
                )
        weighed = [(sum(weight for weight, _ in ways), max(ways, key=_weight)[1]) for ways in found.values()]
        whole, (_, best) = sum(map(_weight, weighed)), max(weighed, key=_weight)
        kept = tuple(
            (weight / whole, water if weight > _HOPELESS * whole else water.like(best))
            for weight, water in weighed
        )
        return whole, WaterCourse(kept, now)


def _weight(weighed: tuple[float, Water]) -> float:
    return weighed[0]


def _turns(earlier: ProbeHalfHour, now: ProbeHalfHour, *, before: bool, after: bool) -> float:
    """How likely a lamp that burned, or did not, does now."""
    told = now.lit >= 0.5
    if before is told:
        return 1.0 - _BY_ITSELF if after is told else _BY_ITSELF
    turns = _LATE if told is (earlier.lit >= 0.5) else _ON_TIME
    return turns if after is told else 1.0 - turns
