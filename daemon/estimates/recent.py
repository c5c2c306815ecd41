"""The last 24 hours of something that adds up, by clock hour, and the coming days as their repetition."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from daemon.estimates.stretch import HOUR_S

DAY_S = 86_400
DAY_H = 24


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
            amounts = [a + b for a, b in zip(old.amounts, amounts, strict=True)]
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

    def coming(self, now: int, column: int) -> "ComingDays | None":
        """The coming days as the repetition of the last, for one column; None where nothing is known.

        An hour that is not known has the mean rate of those that are.
        """
        rates = self.rates(now, column)
        return None if rates is None else ComingDays(now, rates)

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


class ComingDays:
    """Coming time at the rates (a second) of 24 clock hours, over and over."""

    def __init__(self, now: int, rates: Sequence[float]) -> None:
        edges = [now, *range((now // HOUR_S + 1) * HOUR_S, now + DAY_S, HOUR_S), now + DAY_S]
        self._at, self._sum = [0.0], [0.0]
        for began, ended in pairwise(edges):
            self._at.append(float(ended - now))
            self._sum.append(self._sum[-1] + rates[began // HOUR_S % DAY_H] * (ended - began))
        self._now = now

    @property
    def per_day(self) -> float:
        """What a whole coming day brings."""
        return self._sum[-1]

    def amount(self, at: float) -> float:
        """What comes between now and `at` (Unix s)."""
        whole, rest = divmod(max(0.0, at - self._now), DAY_S)
        place = min(len(self._at) - 1, bisect_right(self._at, rest))
        began, ended = self._at[place - 1], self._at[place]
        share = (rest - began) / (ended - began)
        part = self._sum[place - 1] + share * (self._sum[place] - self._sum[place - 1])
        return float(whole) * self._sum[-1] + part

    def days(self, at: float) -> float:
        """Time to `at` told in days of what comes; the clock's days where nothing does."""
        if self.per_day <= 0.0:
            return max(0.0, at - self._now) / DAY_S
        return self.amount(at) / self.per_day
