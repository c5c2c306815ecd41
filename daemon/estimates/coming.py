"""The coming water, as a few ways in which its temperature may go, hour by hour.

A coming hour is like the same clock hour of the last day, with a difference that lasts: today is colder or
warmer than yesterday, and about half of that stays. A school's weekend is colder, since the heating is
turned down; it is told by the weekday in UTC, with half a day to either side for the world's time zones.
Clock hours not seen yet may be the night.

This stands in for a forecast that knows the calendar: whoever has one gives `WarmthPath`s of his own.
"""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass
from math import hypot
from typing import Protocol

from daemon.estimates.quantile import Z90
from daemon.estimates.stretch import HOUR_S, Stretch

DAY_H, WEEK_H = 24, 168
# Five ways, alike likely: 10, 30 … 90 % of a normal, spread so that their variance is 1.
WAYS = (-1.463, -0.599, 0.0, 0.599, 1.463)
# A day's difference from the last, °C (one sd): sun, frost, windows; grows over half a day [P].
DAY_SD_C, AT_ONCE = 0.9, 0.4
KEPT, KEPT_OF_H = 0.6, 3  # how much of today's difference stays, judged by so many hours
# How much colder a weekend is than the days before it, and how that varies, °C [P].
WEEKEND_C, WEEKEND_SD_C = 1.9, 1.65
THURSDAY = 3  # the weekday of Unix day 0; Monday is 0
FADES_FROM_H, GONE_FROM_H, BACK_FROM_H, BACK_BY_H = 4 * 24 + 14, 5 * 24 + 20, 6 * 24 + 22, 7 * 24 + 10
# Hours not seen yet are colder than those seen, as batches are set in the warm part of a day [P].
UNSEEN_C, UNSEEN_SD_C = 0.6, 2.0
NOTHING_KNOWN_C, NOTHING_KNOWN_SD_C = 22.0, 3.0


@dataclass(frozen=True, slots=True)
class WarmthPath:
    """One way: its weight, and the mean water temperature (°C) of clock hours from the present one on.

    Where the hours are used up, they come again.
    """

    weight: float
    hourly_c: tuple[float, ...]


class ComingWater(Protocol):
    """A forecast of the water's temperature."""

    def paths(self, at: int) -> Sequence[WarmthPath]:
        """The ways it may go from `at` (Unix s) on."""


@dataclass(frozen=True, slots=True)
class SeenHour:
    """What was seen of one clock hour (Unix hours): seconds, mean °C, and how unsure that is (one sd)."""

    hour: int
    seconds: int
    mean_c: float
    sd_c: float


class RepeatedDays:
    """Feed stretches in time order; the last two days are kept."""

    def __init__(self) -> None:
        self._hours: dict[int, SeenHour] = {}

    def copy(self) -> "RepeatedDays":
        """A copy that goes its own way."""
        twin = copy(self)
        twin._hours = dict(self._hours)
        return twin

    def feed_stretch(self, stretch: Stretch) -> None:
        """The water over a stretch that lies within one clock hour."""
        hour, seconds = stretch.began // HOUR_S, stretch.ended - stretch.began
        mean_c, sd_c = stretch.water_c, 0.5 * (stretch.high_c - stretch.low_c) / Z90
        old = self._hours.get(hour)
        if old is not None:
            share = seconds / (seconds + old.seconds)
            mean_c, sd_c = (a + share * (b - a) for a, b in ((old.mean_c, mean_c), (old.sd_c, sd_c)))
            seconds += old.seconds
        elif len(self._hours) > 2 * DAY_H:
            self._hours = {h: seen for h, seen in self._hours.items() if h > hour - 2 * DAY_H}
        self._hours[hour] = SeenHour(hour, seconds, mean_c, sd_c)

    def paths(self, at: int) -> list[WarmthPath]:
        """The ways it may go from `at` on, a week long."""
        now = at // HOUR_S
        day = [h for hour in range(now - DAY_H + 1, now + 1) if (h := self._hours.get(hour)) is not None]
        if not day:
            spread = [NOTHING_KNOWN_C + NOTHING_KNOWN_SD_C * way for way in WAYS]
            return [WarmthPath(1.0 / len(WAYS), (water_c,)) for water_c in spread]
        middle, sd = self._ahead(now, day)
        shift, left = self._shift(now)
        return [
            WarmthPath(
                1.0 / len(WAYS),
                tuple(c + s * (shift + left * way) for c, s in zip(middle, sd, strict=True)),
            )
            for way in WAYS
        ]

    def _ahead(self, now: int, day: Sequence[SeenHour]) -> tuple[list[float], list[float]]:
        """The middle and the sd of every coming hour of a week."""
        seen = {h.hour % DAY_H: h for h in day}
        mean_c = sum(h.mean_c * h.seconds for h in day) / sum(h.seconds for h in day)
        newest = day[-1]
        middle, sd = [], []
        for hour in range(now, now + WEEK_H):
            like = seen.get(hour % DAY_H)
            grown = DAY_SD_C * (AT_ONCE + (1.0 - AT_ONCE) * min(1.0, (hour - now) / 12.0))
            if like is None:
                colder = _weekend(hour) - _weekend(newest.hour)
                middle.append(mean_c - UNSEEN_C - WEEKEND_C * colder)
                sd.append(hypot(grown, UNSEEN_SD_C, WEEKEND_SD_C * colder, newest.sd_c))
            else:
                colder = _weekend(hour) - _weekend(like.hour)
                middle.append(like.mean_c - WEEKEND_C * colder)
                sd.append(hypot(grown, WEEKEND_SD_C * colder, like.sd_c))
        return middle, sd

    def _shift(self, now: int) -> tuple[float, float]:
        """How far today's difference has gone from what was expected, in sd, and what is left open."""
        pairs = [
            (new, old)
            for hour in range(now - KEPT_OF_H, now + 1)
            if (new := self._hours.get(hour)) and (old := self._hours.get(hour - DAY_H))
        ]
        if not pairs:
            return 0.0, 1.0
        colder = sum(_weekend(new.hour) - _weekend(old.hour) for new, old in pairs) / len(pairs)
        came = sum(new.mean_c - old.mean_c for new, old in pairs) / len(pairs)
        sure = hypot(DAY_SD_C, WEEKEND_SD_C * colder)
        unsure = max(hypot(new.sd_c, old.sd_c) for new, old in pairs)
        kept = KEPT * sure * sure / (sure * sure + unsure * unsure)
        gone = max(-2.5, min(2.5, (came + WEEKEND_C * colder) / sure))
        return kept * gone, (1.0 - kept * kept) ** 0.5


def _weekend(hour: int) -> float:
    """How much of a weekend an hour is (Unix hours): 0 on a school day, 1 on a Saturday."""
    of_week = (hour + THURSDAY * DAY_H) % WEEK_H
    if of_week < FADES_FROM_H:
        return max(0.0, (BACK_BY_H - WEEK_H - of_week) / (BACK_BY_H - BACK_FROM_H))
    if of_week < GONE_FROM_H:
        return (of_week - FADES_FROM_H) / (GONE_FROM_H - FADES_FROM_H)
    return min(1.0, (BACK_BY_H - of_week) / (BACK_BY_H - BACK_FROM_H))
