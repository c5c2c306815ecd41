"""Does a water thermometer stand still although its water must have moved?

Real thermometers repeat themselves: room air was seen to stay at the same reading for nine hours. So standing
still is only held against a probe in water, and only when the room, or a vessel under like conditions, moved
so far meanwhile that even a vessel twice as slow as usual would have followed by several steps.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from sensors.trust.water_limits import WaterLimits

_MUST_FOLLOW_K = 0.35  # more than five steps of a DS18B20
_NEIGHBOUR_K = 0.75
_AT_LEAST_S = 1800
_AT_LEAST = 10
_NEIGHBOUR_S = 3600
_DOUBT_S = 86_400
_SLOWER = 2.0


@dataclass(slots=True)
class Standstill:
    """A run of equal values: since when, how often, and what the others did meanwhile."""

    value: float
    since: int
    room_c: float | None
    neighbours_c: Mapping[str, float]
    count: int = 1
    repeated_at: int | None = None
    last_at: int = field(default=0)
    followed_k: float = 0.0
    must_have_moved: bool = False

    def repeat(
        self, at: int, room_c: float | None, neighbours_c: Mapping[str, float], water: WaterLimits
    ) -> None:
        """The same value again."""
        seconds = at - (self.last_at or self.since)
        self.last_at, self.count = at, self.count + 1
        self.repeated_at = at if self.repeated_at is None else self.repeated_at
        if self.room_c is None:
            self.room_c = room_c
        self.neighbours_c = {**neighbours_c, **self.neighbours_c}
        if room_c is not None and self.room_c is not None:
            share = min(1.0, seconds / (_SLOWER * water.lag_s))
            self.followed_k += share * (room_c - self.room_c - self.followed_k)
        long_enough = self.count >= _AT_LEAST and at - self.since >= _AT_LEAST_S
        if long_enough and abs(self.followed_k) >= _MUST_FOLLOW_K:
            self.must_have_moved = True
        if long_enough and at - self.since >= _NEIGHBOUR_S and self._neighbour_moved(neighbours_c):
            self.must_have_moved = True

    def doubtful(self, at: int) -> bool:
        """Whether it is strange, though nothing is there to hold against it."""
        return at - self.since >= _DOUBT_S and self.count >= _AT_LEAST

    def _neighbour_moved(self, neighbours_c: Mapping[str, float]) -> bool:
        return any(
            abs(now_c - self.neighbours_c[probe]) >= _NEIGHBOUR_K
            for probe, now_c in neighbours_c.items()
            if probe in self.neighbours_c
        )
