"""The last 24 hours of something that adds up, by clock hour."""

from collections.abc import Sequence
from dataclasses import dataclass

from daemon.seconds import DAY_S, HOUR_S

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
