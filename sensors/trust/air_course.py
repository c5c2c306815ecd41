"""A thermometer in air, by the half hour: it is the room, and a little off, T = room + c + k·lit.

The offset c (two probes err, and hang at two places) and what a lamp adds to the bare capsule, k, are learned
as they come by a Kalman filter (Kalman 1960, J. Basic Eng. 82).
"""

from dataclasses import dataclass

from sensors.trust.half_hour_odds import likelihood, surprised
from sensors.trust.half_hours import HalfHour

# K, and K per √h: how air differs from place to place and from one half hour to the next [P].
_READ_K = 0.08
_WANDERS_K = 0.06
_WANDERS_BARE_K = 0.2  # where it is known to be air: sun comes and goes
# Mean and standard deviation before anything is known, K [P].
_OFF_K = (0.0, 0.35)
_LAMP_K = (0.3, 1.2)
_NEAR_K = 1.0
# Off the room: a bare capsule is a little colder while it is wet, some K warmer under a lamp or in the sun.
BARE_K = (-2.0, 5.5)


@dataclass(frozen=True, slots=True)
class AirCourse:
    """What is believed of c and k (K), with their covariances (cc, ck, kk), at a time."""

    mean: tuple[float, float]
    spread: tuple[float, float, float]
    at: float

    @classmethod
    def begun(cls, at: float) -> "AirCourse":
        """Nothing is known yet."""
        return cls((_OFF_K[0], _LAMP_K[0]), (_OFF_K[1] ** 2, 0.0, _LAMP_K[1] ** 2), at)

    def next(self, now: HalfHour, *, sure: bool) -> "tuple[float, AirCourse]":
        """How likely the next half hour is (per K), and what it teaches; `sure` where it is known to be air.

        Where it is not, what surprises only teaches a warmth near the room's.
        """
        c, k = self.mean
        cc, ck, kk = self.spread
        cc += (_WANDERS_BARE_K if sure else _WANDERS_K) ** 2 * (now.at - self.at) / 3600.0
        surprise_k = now.off_k - c - k * now.lit
        seen_c, seen_k = cc + ck * now.lit, ck + kk * now.lit
        variance = seen_c + seen_k * now.lit + _READ_K**2
        likely = likelihood(surprise_k, variance)
        if surprised(surprise_k, variance):
            # It may hang elsewhere now, or in the sun.
            low_k, high_k = BARE_K if sure else (-_NEAR_K, _NEAR_K)
            if not low_k <= now.off_k - k * now.lit <= high_k:
                return likely, AirCourse(self.mean, (cc, ck, kk), now.at)
            cc, seen_c, variance = cc + surprise_k**2, seen_c + surprise_k**2, variance + surprise_k**2
        gain_c, gain_k = seen_c / variance, seen_k / variance
        mean = (c + gain_c * surprise_k, k + gain_k * surprise_k)
        return likely, AirCourse(
            mean, (cc - gain_c * seen_c, ck - gain_c * seen_k, kk - gain_k * seen_k), now.at
        )
