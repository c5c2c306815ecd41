"""A thermometer in air, by the half hour: it is the room, and a little off, T = room + c + k·lit.

The offset c (two probes err, and hang at two places) and what a lamp adds to the bare capsule, k, are learned
as they come by a Kalman filter (Kalman 1960, J. Basic Eng. 82).
"""

from dataclasses import dataclass, replace

from sensors.trust.half_hour_odds import likelihood, surprised
from sensors.trust.half_hours import ProbeHalfHour

# K, and K per √h: how air differs from place to place and from one half hour to the next [P].
_READ_K = 0.08
_WANDERS_K = 0.06
_WANDERS_IN_SUN_K = 0.25
_SUN_TURNS = 0.03  # in a half hour [P]
# Mean and standard deviation before anything is known, K [P].
_OFF_K = (0.0, 0.35)
_LAMP_K = (0.3, 1.2)
_NEAR_K = 1.0
# Off the room: a bare capsule is a little colder while it is wet, some K warmer under a lamp or in the sun.
BARE_K = (-2.0, 5.5)


@dataclass(frozen=True, slots=True)
class AirCourse:
    """What is believed of c and k (K), with their covariances (cc, ck, kk), at a time.

    `wanders_k` is how fast c wanders, K per √h; `off_k` is what it may come to at once.
    """

    mean: tuple[float, float]
    spread: tuple[float, float, float]
    at: float
    wanders_k: float = _WANDERS_K
    off_k: tuple[float, float] = (-_NEAR_K, _NEAR_K)

    @classmethod
    def begun(cls, at: float) -> "AirCourse":
        """Nothing is known yet."""
        return cls((_OFF_K[0], _LAMP_K[0]), (_OFF_K[1] ** 2, 0.0, _LAMP_K[1] ** 2), at)

    def next(self, now: ProbeHalfHour) -> "tuple[float, AirCourse]":
        """How likely the next half hour is (per K), and what it teaches."""
        c, k = self.mean
        cc, ck, kk = self.spread
        cc += self.wanders_k**2 * (now.at - self.at) / 3600.0
        surprise_k = now.off_k - c - k * now.lit
        seen_c, seen_k = cc + ck * now.lit, ck + kk * now.lit
        variance = seen_c + seen_k * now.lit + _READ_K**2
        likely = likelihood(surprise_k, variance)
        if surprised(surprise_k, variance):
            # It may hang elsewhere now, or in the sun.
            if not self.off_k[0] <= now.off_k - k * now.lit <= self.off_k[1]:
                return likely, replace(self, spread=(cc, ck, kk), at=now.at)
            cc, seen_c, variance = cc + surprise_k**2, seen_c + surprise_k**2, variance + surprise_k**2
        gain_c, gain_k = seen_c / variance, seen_k / variance
        mean = (c + gain_c * surprise_k, k + gain_k * surprise_k)
        spread = (cc - gain_c * seen_c, ck - gain_c * seen_k, kk - gain_k * seen_k)
        return likely, replace(self, mean=mean, spread=spread, at=now.at)


@dataclass(frozen=True, slots=True)
class BareCourse:
    """A probe that is believed in air: in calm, or in a sun that comes and goes, and how sure it is calm."""

    calm: AirCourse
    sun: AirCourse
    calm_share: float

    @classmethod
    def begun(cls, air: AirCourse) -> "BareCourse":
        """Since it is believed in air, it may come to all that a bare probe can."""
        calm = replace(air, off_k=BARE_K)
        return cls(calm, replace(calm, wanders_k=_WANDERS_IN_SUN_K), 0.9)

    def next(self, now: ProbeHalfHour) -> "tuple[float, BareCourse]":
        """How likely the next half hour is (per K), and what it teaches."""
        in_calm, calm = self.calm.next(now)
        in_sun, sun = self.sun.next(now)
        calm_share = self.calm_share * (1.0 - _SUN_TURNS) + (1.0 - self.calm_share) * _SUN_TURNS
        whole = calm_share * in_calm + (1.0 - calm_share) * in_sun
        return whole, BareCourse(calm, sun, calm_share * in_calm / whole)
