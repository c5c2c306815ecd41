"""When somebody is in the room: the calendar of a station file, worked out anew on a grid of five minutes."""

from bisect import bisect_right
from datetime import datetime, time, timedelta

from daemon.station import DailyHours, Station

STEP_S, DAY_S, HOUR_S = 300, 86_400, 3600
_AROUND_S = 16 * DAY_S


def in_hours(hours: DailyHours, local: datetime) -> bool:
    """Whether a local time lies in daily hours, also past midnight."""
    now, begins, ends = local.time(), hours.begins, hours.ends
    return begins <= now < ends if begins < ends else now >= begins or now < ends


def is_there(station: Station, at: int) -> bool:
    """Whether somebody is in the room at a moment."""
    local = datetime.fromtimestamp(at, station.timezone)
    if any(span.first <= local.date() <= span.last for span in station.away):
        return False
    return not station.attended or any(
        _on(weekly.weekdays, weekly.hours, local) for weekly in station.attended
    )


def _on(weekdays: frozenset[int], hours: DailyHours, local: datetime) -> bool:
    if not in_hours(hours, local):
        return False
    past_midnight = hours.ends <= hours.begins and local.time() < hours.ends and hours.ends != time(0)
    day = local.date() - timedelta(days=1) if past_midnight else local.date()
    return day.weekday() in weekdays


class Calendar:
    """The stretches in which somebody is there, from well before a history to well after it."""

    def __init__(self, station: Station, began: int, ended: int) -> None:
        first = began // STEP_S * STEP_S - _AROUND_S
        grid = range(first, ended + _AROUND_S, STEP_S)
        self.spans: list[tuple[int, int]] = []
        for at in grid:
            if not is_there(station, at):
                continue
            if self.spans and self.spans[-1][1] == at:
                self.spans[-1] = (self.spans[-1][0], at + STEP_S)
            else:
                self.spans.append((at, at + STEP_S))
        self._begins = [span[0] for span in self.spans]

    def span_at(self, at: int) -> tuple[int, int] | None:
        """The stretch that a moment lies in, or None where nobody is there."""
        place = bisect_right(self._begins, at) - 1
        return self.spans[place] if place >= 0 and at < self.spans[place][1] else None

    def next_arrival(self, at: int) -> int | None:
        """When somebody next comes; None where nobody does within two weeks."""
        place = bisect_right(self._begins, at)
        return self._begins[place] if place < len(self._begins) else None

    def anybody_between(self, began: int, ended: int) -> bool:
        """Whether somebody was there in a stretch."""
        return any(b < ended and e > began for b, e in self.spans)

    def absences(self, hours: float = 24.0) -> list[tuple[int, int]]:
        """The stretches of so many hours and more with nobody there, between two with somebody."""
        holes = zip(self.spans, self.spans[1:], strict=False)
        return [(e, b) for (_, e), (b, _) in holes if b - e >= hours * HOUR_S]
