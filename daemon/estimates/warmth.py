"""The belief about the coldest water of the next 16 hours.

With less than a day known: the water now, less a drop drawn from a prior. With a day known: the coldest of
yesterday's same clock hours, shifted by half of how much warmer or colder it is now than then, with an error
learned from its own past forecasts, mixed with the prior error. The shift is the room air's, where that is
known and the coldest water stood near it, else the water's; it may stay whole or fade, and the range reaches
over both. A heating failure cannot be foreseen from temperatures; the ranges reach further down than up
because rooms fail downwards.

The belief knows no time zone. The prior drop holds for any clock hour, as nearly every window of 16 h holds
an evening or a night. The first night of a weekend is not like the night before it, since schools turn the
heating down; it is told by the weekday in UTC, with half a day to either side for the world's time zones.
Prior figures are judgements from cups near room − 1 K and rooms that lose 2 to 5 °C overnight [P].
"""

from collections import deque
from copy import copy
from dataclasses import dataclass
from math import hypot, sqrt

from daemon.estimates.quantile import Z90, Estimate, ordered
from daemon.estimates.stretch import HOUR_S, Stretch

AHEAD_H = 16
DAY_H = 24
WEEK_H = 7 * DAY_H

# A drop of 0.6, 2.0, 6.0 °C at 10, 50, 90 %.
DROP_C = (0.6, 2.0, 6.0)
# How far a day-alike forecast errs before any of its own was seen, and how many forecasts that counts for.
ERROR_SD_C, ERROR_COUNTS = 1.0, 3.0
OVERLAP_H = 8.0  # hourly forecasts of the same night are one forecast seen again: eight count as one
FORGOTTEN_PER_H = 1.0 / (14 * 24)  # a fortnight
SHIFT_KEPT = 0.5  # of today's difference from yesterday, over the coming hours: none to all of it,
SHIFT_REACH = 0.8  # any share alike, of which this much to either side is four in five
NEAR_ROOM_K = 2.0  # a cup without a lamp settles about 1 K below the room (handbook), and lags a little
LOW_SIDE, HIGH_SIDE = 1.4, 0.9  # of the error's 90 % point: further down than up
PROBE_C = 0.3  # a DS18B20 is right to 0.5 °C by its data sheet; four in five to 0.3
# How much colder a weekend's first night is than the night before: none, 1, 4 °C at 90, 50, 10 %.
SETBACK_C, SETBACK_MOST_C = 1.0, 4.0
THURSDAY = 3  # the weekday of Unix day 0; Monday is 0
SETBACK_FROM_H, SETBACK_TO_H = 4 * 24 + 4, 5 * 24 + 12  # hours of the week in which such a window begins


@dataclass(frozen=True, slots=True)
class Hour:
    """A clock hour (Unix hours): the water's mean and coldest, and the room's air at its end, °C."""

    hour: int
    mean_c: float
    coldest_c: float
    room_c: float | None


@dataclass(frozen=True, slots=True)
class Forecast:
    """The coldest water expected in the 16 hours that begin with `hour`."""

    hour: int
    coldest_c: float


class WarmthBelief:
    """Feed stretches in time order."""

    def __init__(self) -> None:
        self._hours: deque[Hour] = deque(maxlen=DAY_H + AHEAD_H + 1)
        self._now: tuple[float, float] | None = None  # water and its margin, °C
        self._hour: int | None = None
        self._sum, self._seconds, self._coldest = 0.0, 0, 0.0
        self._room: float | None = None
        self._forecasts: deque[Forecast] = deque(maxlen=AHEAD_H + 1)
        self._errors, self._square = 0.0, 0.0  # how many, and their squares' sum

    def copy(self) -> "WarmthBelief":
        """A copy that goes its own way."""
        twin = copy(self)
        twin._hours, twin._forecasts = self._hours.copy(), self._forecasts.copy()
        return twin

    def feed_stretch(self, stretch: Stretch) -> None:
        """The water's temperature over a stretch that lies within one clock hour."""
        hour, seconds = stretch.began // HOUR_S, stretch.ended - stretch.began
        if hour != self._hour:
            self._close_hour()
            self._hour, self._sum, self._seconds, self._coldest = hour, 0.0, 0, stretch.water_c
        self._sum += stretch.water_c * seconds
        self._seconds += seconds
        self._coldest = min(self._coldest, stretch.water_c)
        self._room = stretch.room_c
        self._now = (stretch.water_c, 0.5 * (stretch.high_c - stretch.low_c))

    def _close_hour(self) -> None:
        if self._hour is None or self._seconds == 0:
            return
        self._hours.append(Hour(self._hour, self._sum / self._seconds, self._coldest, self._room))
        self._check(self._hour)
        expected = self._day_alike(self._hour + 1)
        if expected is not None:
            self._forecasts.append(Forecast(self._hour + 1, expected[0]))

    def _check(self, last: int) -> None:
        """Compare the forecast whose 16 hours end with `last` with what came."""
        keep = 1.0 - FORGOTTEN_PER_H
        self._errors, self._square = self._errors * keep, self._square * keep
        while self._forecasts and self._forecasts[0].hour + AHEAD_H - 1 <= last:
            forecast = self._forecasts.popleft()
            came = self._coldest_of(forecast.hour)
            if came is not None:
                self._errors += 1.0 / OVERLAP_H
                self._square += (came.coldest_c - forecast.coldest_c) ** 2 / OVERLAP_H

    def _coldest_of(self, first: int) -> Hour | None:
        """The coldest of the 16 hours from `first`, if nearly all are there."""
        found = [h for h in self._hours if first <= h.hour < first + AHEAD_H]
        return min(found, key=lambda h: h.coldest_c) if len(found) >= AHEAD_H - 2 else None

    def _day_alike(self, first: int) -> tuple[float, float] | None:
        """The coldest expected in the 16 hours from `first`, and how much of it is half the shift.

        None where yesterday is not known.
        """
        coldest = self._coldest_of(first - DAY_H)
        before = [h for h in self._hours if h.hour == first - 1 - DAY_H]
        if coldest is None or not before or not self._hours:
            return None
        shift = SHIFT_KEPT * self._shift(self._hours[-1], before[0], coldest)
        return coldest.coldest_c + shift, abs(shift)

    @staticmethod
    def _shift(now: Hour, before: Hour, coldest: Hour) -> float:
        """How much warmer today is than yesterday, °C.

        Where the coldest water stood near the room's air, no lamp warmed it, and the air says it: the water
        now and then may differ by a lamp that is lit at one time only.
        """
        if now.room_c is None or before.room_c is None or coldest.room_c is None:
            return now.mean_c - before.mean_c
        alone = abs(coldest.coldest_c - coldest.room_c) < NEAR_ROOM_K
        return now.room_c - before.room_c if alone else now.mean_c - before.mean_c

    def coldest_next_16h(self) -> Estimate | None:
        """The coldest water of the next 16 hours, °C; None where no water was ever known."""
        if self._now is None or self._hour is None:
            return None
        now_c, margin_c = self._now
        first = self._hour + (self._seconds >= HOUR_S)
        expected = self._day_alike(first)
        if expected is None:
            below = Estimate(*(now_c - drop for drop in reversed(DROP_C)))
        else:
            below = self._like_yesterday(*expected, first)
        # The water now is in the window: the coldest to come cannot be warmer than what is read now.
        middle, high = min(below.p50, now_c), min(below.p90, now_c) + margin_c
        return ordered(middle - hypot(middle - below.p10, margin_c, PROBE_C), middle, high)

    def _like_yesterday(self, expected_c: float, shift_c: float, first: int) -> Estimate:
        error = Z90 * self._error_sd_c()
        low = expected_c - hypot(LOW_SIDE * error, SHIFT_REACH * shift_c)
        high = expected_c + hypot(HIGH_SIDE * error, SHIFT_REACH * shift_c)
        if SETBACK_FROM_H <= (first + THURSDAY * DAY_H) % WEEK_H < SETBACK_TO_H:
            return ordered(min(low, expected_c - SETBACK_MOST_C), expected_c - SETBACK_C, high)
        return ordered(low, expected_c, high)

    def _error_sd_c(self) -> float:
        prior = ERROR_COUNTS * ERROR_SD_C * ERROR_SD_C
        return sqrt((prior + self._square) / (ERROR_COUNTS + self._errors))
