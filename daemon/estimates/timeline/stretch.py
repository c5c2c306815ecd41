"""A stretch of time and what is gathered into it."""

from bisect import bisect_right
from copy import copy
from dataclasses import dataclass

from daemon.seconds import HOUR_S

ROOM_THINNED_S = 1800


@dataclass(frozen=True, slots=True)
class Stretch:
    """Time between two moments (Unix s) without a deed inside, and its mean temperatures in °C.

    `low_c` and `high_c` hold the truth four times in five; they equal `water_c` where it was measured.
    Room values are None where they are not known; so is `light`, the light as a multiple of what tells a lit
    lamp from a dark one.
    """

    began: int
    ended: int
    water_c: float
    low_c: float
    high_c: float
    room_c: float | None
    room_rh_pct: float | None
    light: float | None = None

    @property
    def hours(self) -> float:
        """Its length in hours."""
        return (self.ended - self.began) / HOUR_S


class Series:
    """A measure of the room: straight between samples, held for a while after the last."""

    def __init__(self, held_s: int) -> None:
        self._held_s = held_s
        self._at: list[int] = []
        self._value: list[float] = []

    def copy(self) -> "Series":
        """A copy that goes its own way."""
        twin = copy(self)
        twin._at, twin._value = list(self._at), list(self._value)
        return twin

    def add(self, at: int, value: float, *, thinned: bool) -> None:
        """One more sample; `thinned` keeps one in half an hour, for a long wait on the water probe."""
        if thinned and len(self._at) > 1 and at - self._at[-2] < ROOM_THINNED_S:
            self._at[-1], self._value[-1] = at, value
            return
        self._at.append(at)
        self._value.append(value)

    def forget(self) -> None:
        """Keep only the last sample: the time before it has been dealt with."""
        if len(self._at) > 1:
            del self._at[:-1], self._value[:-1]

    def value(self, at: float) -> float | None:
        """The value at a moment, or None where it is not known."""
        if not self._at:
            return None
        place = bisect_right(self._at, at)
        if place == 0:
            return self._value[0] if self._at[0] - at <= self._held_s else None
        if place == len(self._at):
            return self._value[-1] if at - self._at[-1] <= self._held_s else None
        before, after = self._at[place - 1], self._at[place]
        share = (at - before) / (after - before)
        return self._value[place - 1] + share * (self._value[place] - self._value[place - 1])

    def measured(self, at: float) -> float | None:
        """As `value`, but None too where the samples to either side are far apart."""
        if not self._at:
            return None
        place = bisect_right(self._at, at)
        if 0 < place < len(self._at) and self._at[place] - self._at[place - 1] > self._held_s:
            return None
        return self.value(at)


class OpenStretch:
    """A stretch that is still being gathered, from pieces of time that follow each other."""

    def __init__(self) -> None:
        self._empty()

    def _empty(self) -> None:
        self._began: int | None = None
        self._ended = 0
        self._water = 0.0
        self._room = 0.0
        self._room_s = 0
        self._humidity = 0.0
        self._humidity_s = 0
        self._light = 0.0
        self._light_s = 0

    def copy(self) -> "OpenStretch":
        """A copy that goes its own way."""
        return copy(self)

    def add(
        self,
        began: int,
        ended: int,
        water_c: float,
        room_c: float | None,
        room_rh_pct: float | None,
        light: float | None,
    ) -> None:
        """A piece of time with its mean values; those but the water's are None where they are not known."""
        if self._began is None:
            self._began = began
        self._ended, seconds = ended, ended - began
        self._water += water_c * seconds
        if room_c is not None:
            self._room += room_c * seconds
            self._room_s += seconds
        if room_rh_pct is not None:
            self._humidity += room_rh_pct * seconds
            self._humidity_s += seconds
        if light is not None:
            self._light += light * seconds
            self._light_s += seconds

    def close(self) -> list[Stretch]:
        """The stretch gathered so far, if there is one, and begin a new one."""
        if self._began is None:
            return []
        water_c = self._water / (self._ended - self._began)
        room_c = self._room / self._room_s if self._room_s else None
        humidity = self._humidity / self._humidity_s if self._humidity_s else None
        light = self._light / self._light_s if self._light_s else None
        closed = Stretch(self._began, self._ended, water_c, water_c, water_c, room_c, humidity, light)
        self._empty()
        return [closed]
