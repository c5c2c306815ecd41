"""Stretches gathered into half hours, with the slope of the water in each."""

from copy import copy
from dataclasses import dataclass

from daemon.estimates.local_hour import Calendar
from daemon.estimates.timeline.stretch import Stretch
from daemon.seconds import HOUR_S

HALF_HOUR_S = 1800
SHORT_S = 600  # less than this says no slope
JUMP_K_PER_H = 14.0  # no lamp does this to a cup: something was poured, or the probe was moved


@dataclass(frozen=True, slots=True)
class HalfHour:
    """What is known of a half hour of a cup.

    Mean water, its slope (K/h), the share that was lit, the room's air or None.
    """

    began: int
    hours: float
    water_c: float
    slope_k_per_h: float
    lit: float
    room_c: float | None


class HalfHours:
    """Feed stretches in time order; what is returned is closed."""

    def __init__(self, calendar: Calendar) -> None:
        self._calendar = calendar
        self._last: Stretch | None = None
        self._empty(None)

    def _empty(self, start: tuple[float, float] | None) -> None:
        self._start = start  # a moment (Unix s) and the water then, °C
        self._began: int | None = None
        self._seconds = 0
        self._water = self._lit = self._room = 0.0
        self._room_s = 0
        self._disturbed = False

    def copy(self) -> "HalfHours":
        """A copy that goes its own way."""
        return copy(self)

    def disturb(self) -> None:
        """Somebody poured or drew: the half hour under way says nothing of warmth."""
        self._disturbed = True

    def feed(self, stretch: Stretch) -> HalfHour | None:
        """One more stretch; returns the half hour that it ends, where that says anything."""
        last, closed = self._last, None
        follows = last is not None and last.ended == stretch.began and measured(stretch) and measured(last)
        boundary = _between(last, stretch) if last is not None and follows else None
        if last is not None and follows and _jumped(last, stretch):
            self._disturbed = True
        same = self._began is not None and stretch.began // HALF_HOUR_S == self._began // HALF_HOUR_S
        if self._began is not None and not (follows and same):
            closed = self._closed(boundary)
            self._empty(boundary)
        if measured(stretch):
            self._add(stretch, boundary)
        self._last = stretch
        return closed

    def so_far(self) -> HalfHour | None:
        """The half hour under way, where it says anything yet."""
        return self._closed(None) if self._began is not None else None

    def _add(self, stretch: Stretch, boundary: tuple[float, float] | None) -> None:
        if self._began is None:
            self._began = stretch.began
            self._start = boundary or (0.5 * (stretch.began + stretch.ended), stretch.water_c)
        seconds = stretch.ended - stretch.began
        self._seconds += seconds
        self._water += stretch.water_c * seconds
        self._lit += lit(self._calendar, stretch) * seconds
        if stretch.room_c is not None:
            self._room += stretch.room_c * seconds
            self._room_s += seconds

    def _closed(self, boundary: tuple[float, float] | None) -> HalfHour | None:
        if self._disturbed or self._last is None or self._start is None or self._began is None:
            return None
        end = boundary or (0.5 * (self._last.began + self._last.ended), self._last.water_c)
        hours = (end[0] - self._start[0]) / HOUR_S
        if self._seconds < SHORT_S or hours <= 0.0:
            return None
        room_c = self._room / self._room_s if self._room_s else None
        slope = (end[1] - self._start[1]) / hours
        return HalfHour(
            self._began,
            self._seconds / HOUR_S,
            self._water / self._seconds,
            slope,
            self._lit / self._seconds,
            room_c,
        )


def measured(stretch: Stretch) -> bool:
    """Whether the water was read, not filled in."""
    return stretch.low_c == stretch.high_c


def lit(calendar: Calendar, stretch: Stretch) -> float:
    """Whether the lamp burned: 1 or 0. Where light is measured it says; else it burns when it is due."""
    due = calendar.local((stretch.began + stretch.ended) // 2).lamp_due
    return float(due and (stretch.light is None or stretch.light >= 1.0))


def _jumped(before: Stretch, after: Stretch) -> bool:
    hours = 0.5 * (before.hours + after.hours)
    return abs(after.water_c - before.water_c) > JUMP_K_PER_H * hours


def _between(before: Stretch, after: Stretch) -> tuple[float, float]:
    """The moment between two stretches and the water then, straight between their middles."""
    share = before.hours / (before.hours + after.hours)
    return float(after.began), before.water_c + share * (after.water_c - before.water_c)
