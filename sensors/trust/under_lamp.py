"""A thermometer that no longer warms under its lamp: as warm as the room for six lit hours."""

from sensors.trust.half_hours import ProbeHalfHour

# As warm as the room, within two probes' errors, for six hours of a lamp that has warmed up for one [P].
_EQUAL_K = 0.2
_EQUAL_FOR = 12
_WARMS_UP = 2
# What speaks against chance: odds of air a little above even in all of them, or that it used to stand off.
_ODDS = 1.0
_USUAL_K = 0.7
_USUAL_OF = 24


class UnderLamp:
    """Half hours under a lit lamp: how many in a row equalled the room, and how it stood off it before."""

    def __init__(self) -> None:
        self._lit = self._equal = self._odd = self._seen = 0
        self._off_k = self._usual_k = 0.0

    @property
    def strange(self) -> bool:
        """Whether it is as warm as the room under a lamp, and neither chance nor habit explains it."""
        return self._odd >= _EQUAL_FOR or (self._equal >= _EQUAL_FOR and abs(self._usual_k) >= _USUAL_K)

    def take(self, now: ProbeHalfHour, odds: float) -> None:
        """One more half hour; `odds` is the logarithm of those that it hangs in air."""
        if now.lit < 1.0:
            self._lit = 0
            return
        self._lit += 1
        if self._lit <= _WARMS_UP:
            return
        equal = abs(now.off_k) <= _EQUAL_K
        if equal and self._equal == 0:
            self._usual_k = self._off_k if self._seen >= _EQUAL_FOR else 0.0
        self._equal = self._equal + 1 if equal else 0
        self._odd = self._odd + 1 if equal and odds >= _ODDS else 0
        self._seen += 1
        self._off_k += (now.off_k - self._off_k) / min(self._seen, _USUAL_OF)
