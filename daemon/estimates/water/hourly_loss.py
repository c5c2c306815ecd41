"""What is lost hour by hour: the last day and the last eight, and the coming time as they suggest.

Two forecasts are made: a coming day is as the last, in the water that is forecast (`pace`); and an hour is as
the same hour a week ago, shifted by how today differs from that day a week ago, so that a weekend is a
weekend and not a Friday. How today differs is half forgotten in a day and a half [P]. Their mean is taken,
which errs less than either (Bates & Granger 1969, *The combination of forecasts* [M]), and half their
difference says how sure it is. Without a week seen there is only the first.
"""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, hypot, log
from operator import add

from daemon.seconds import DAY_S, HOUR_S, WEEK_S

DAY_H = 24
WEEK_H = 168
KEPT_H = WEEK_H + DAY_H
LIKE_TODAY_H = 52.0  # e-folding: half forgotten in 36 h
DIFFERS_MOST = 2.0  # today against the same day a week ago, as a factor either way


@dataclass(frozen=True, slots=True)
class HourSlot:
    """One clock hour: the seconds that are known of it, and what came together in them, by column."""

    hour: int
    seconds: int
    amounts: tuple[float, ...]


class RecentDay:
    """The latest slot of each clock hour (UTC)."""

    def __init__(self) -> None:
        self._slots: list[HourSlot | None] = [None] * DAY_H

    def copy(self) -> "RecentDay":
        """A copy that goes its own way."""
        twin = RecentDay()
        twin._slots = list(self._slots)
        return twin

    def add(self, began: int, seconds: int, amounts: Sequence[float]) -> None:
        """A stretch of time that lies within one clock hour, and what it brought in each column."""
        hour = began // HOUR_S
        old = self._slots[hour % DAY_H]
        if old is not None and old.hour == hour:
            amounts = tuple(map(add, old.amounts, amounts))
            seconds += old.seconds
        self._slots[hour % DAY_H] = HourSlot(hour, seconds, tuple(amounts))

    def _known(self, now: int, since: int = 0) -> list[HourSlot]:
        first = max(now // HOUR_S - DAY_H + 1, since // HOUR_S)
        return [slot for slot in self._slots if slot is not None and slot.hour >= first and slot.seconds > 0]

    def hours_known(self, now: int) -> float:
        """How much of the last 24 hours is there, in hours."""
        return sum(slot.seconds for slot in self._known(now)) / HOUR_S

    def per_day(self, now: int, since: int = 0) -> list[float] | None:
        """What came from `since` on, at most over the last day, scaled to a day, by column.

        None where nothing is known.
        """
        slots = self._known(now, since)
        if not slots:
            return None
        seconds = sum(slot.seconds for slot in slots)
        return [sum(column) * DAY_S / seconds for column in zip(*(s.amounts for s in slots), strict=True)]

    def rates(self, now: int, column: int) -> list[float] | None:
        """What came in a second, by clock hour of the last 24 hours; None where nothing is known."""
        known = {slot.hour % DAY_H: slot for slot in self._known(now)}
        if not known:
            return None
        mean = sum(s.amounts[column] for s in known.values()) / sum(s.seconds for s in known.values())
        rates = [mean] * DAY_H
        for hour, slot in known.items():
            rates[hour] = slot.amounts[column] / slot.seconds
        return rates


class RecentWeek:
    """The last eight days, hour by hour, of one amount."""

    def __init__(self) -> None:
        self._slots: list[tuple[int, int, float]] = [(-KEPT_H, 0, 0.0)] * KEPT_H  # hour, seconds, amount

    def copy(self) -> "RecentWeek":
        """A copy that goes its own way."""
        twin = RecentWeek()
        twin._slots = list(self._slots)
        return twin

    def add(self, began: int, seconds: int, amount: float) -> None:
        """A stretch of time that lies within one clock hour, and what it brought."""
        hour = began // HOUR_S
        last, before, sum_before = self._slots[hour % KEPT_H]
        if last == hour:
            seconds, amount = seconds + before, amount + sum_before
        self._slots[hour % KEPT_H] = (hour, seconds, amount)

    def _rate(self, hour: int) -> float | None:
        at, seconds, amount = self._slots[hour % KEPT_H]
        return amount / seconds if at == hour and seconds > 0 else None

    def coming(self, now: int, today: Sequence[float]) -> Callable[[int], float] | None:
        """The rate (a second) of a coming hour as a week ago; None where that week was not seen whole.

        `today` holds the last 24 clock hours' rates.
        """
        this = now // HOUR_S
        pairs = [(today[h % DAY_H], self._rate(h - WEEK_H)) for h in range(this - DAY_H + 1, this + 1)]
        both = [(new, old) for new, old in pairs if old is not None]
        before = sum(old for _, old in both)
        if len(both) < DAY_H or before <= 0.0:
            return None
        differs = sum(new for new, _ in both) / before
        kept = log(min(DIFFERS_MOST, max(1.0 / DIFFERS_MOST, differs)))

        def rate(hour: int) -> float:
            old = self._rate(this + (hour - this) % WEEK_H - WEEK_H)
            if old is None:
                return today[hour % DAY_H]
            return old * exp(kept * exp((this - hour) / LIKE_TODAY_H))

        return rate


class ComingWeek:
    """Coming time at the rates (a second) of clock hours; what comes after a week repeats that week."""

    def __init__(self, now: int, rate: Callable[[int], float]) -> None:
        edges = [now, *range((now // HOUR_S + 1) * HOUR_S, now + WEEK_S, HOUR_S), now + WEEK_S]
        self._at, self._sum = [0.0], [0.0]
        for began, ended in pairwise(edges):
            self._at.append(float(ended - now))
            self._sum.append(self._sum[-1] + rate(began // HOUR_S) * (ended - began))
        self._now = now

    def amount(self, at: float) -> float:
        """What comes between now and `at` (Unix s)."""
        whole, rest = divmod(max(0.0, at - self._now), WEEK_S)
        place = min(len(self._at) - 1, bisect_right(self._at, rest))
        began, ended = self._at[place - 1], self._at[place]
        share = (rest - began) / (ended - began)
        part = self._sum[place - 1] + share * (self._sum[place] - self._sum[place - 1])
        return float(whole) * self._sum[-1] + part


class ComingLoss:
    """What comes, in days of `per_day`, and how far its mean pace may be off, as a share.

    `sd_share` is that of a single forecast.
    """

    def __init__(self, now: int, forecasts: Sequence[ComingWeek], per_day: float, sd_share: float) -> None:
        self._now, self._forecasts, self._per_day, self._sd_share = now, forecasts, per_day, sd_share

    def days(self, at: float) -> float:
        """The time to `at` in days of `per_day`; the clock's days where nothing comes."""
        clock = max(0.0, at - self._now) / DAY_S
        if self._per_day <= 0.0:
            return clock
        amounts = [forecast.amount(at) for forecast in self._forecasts]
        return sum(amounts) / len(amounts) / self._per_day

    def share(self, at: float) -> float:
        """How far the mean pace from now to `at` may be off (sd)."""
        clock = max(60.0, at - self._now) / DAY_S
        amounts = [forecast.amount(self._now + clock * DAY_S) for forecast in self._forecasts]
        whole = sum(amounts)
        if whole <= 0.0:
            return self._sd_share
        apart = (max(amounts) - min(amounts)) / whole
        return hypot(self._sd_share, apart)
