"""Hourly and daily jobs: when they are due, by the clock of whoever asks."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from math import inf
from zoneinfo import ZoneInfo

from apscheduler.triggers.cron import CronTrigger

# A job missed for longer than this is not made up for: a night's letter at three in the morning helps nobody.
GRACE = timedelta(hours=6)


@dataclass(frozen=True, slots=True)
class Job:
    """Something done at set times; `work` gets the time it was due, Unix seconds."""

    name: str
    trigger: CronTrigger
    work: Callable[[int], None]


def every_hour() -> CronTrigger:
    """At every full hour, UTC."""
    return CronTrigger(minute=0, timezone=UTC)


def every_day(clock: time, zone: ZoneInfo) -> CronTrigger:
    """When the local clock shows `clock`: a full minute, not from 01:00 to 02:59, where clocks change."""
    return CronTrigger(hour=clock.hour, minute=clock.minute, timezone=zone)


class Timetable:
    """Says which jobs have come due, and when the next one will; what time it is, it is told."""

    def __init__(self, jobs: Sequence[Job], now_s: int, since_s: int) -> None:
        """As after `work_out`."""
        self._jobs = tuple(jobs)
        self.work_out(now_s, since_s)

    def work_out(self, now_s: int, since_s: int) -> None:
        """Work out the next times anew: at a start, after a step of the clock, or when it has become sure.

        What was due from `since_s` on comes now, inside the grace: it may have been missed or leapt over. The
        ledger knows what was done.
        """
        self._next = {job.name: _first(job, min(now_s, since_s)) for job in self._jobs}

    def due(self, now_s: int) -> list[tuple[Job, int]]:
        """Jobs that came due since the last call; one missed often comes once, with its newest time."""
        found = []
        for job in self._jobs:
            if self._next[job.name] <= now_s:
                latest = last_due(job, now_s)
                self._next[job.name] = _first(job, now_s + 1)
                if latest is not None:
                    found.append((job, latest))
        return sorted(found, key=lambda pair: pair[1])

    def next_due_s(self) -> float:
        """When the next job is due, Unix seconds; infinity where none ever is."""
        return min(self._next.values(), default=inf)


def last_due(job: Job, now_s: int) -> int | None:
    """The job's latest time not after `now_s` and inside the grace, or None."""
    now = datetime.fromtimestamp(now_s, UTC)
    latest = None
    for moment in _times(job, now - GRACE, now):
        latest = int(moment.timestamp())
    return latest


def _times(job: Job, after: datetime, until: datetime) -> Iterator[datetime]:
    moment = job.trigger.get_next_fire_time(None, after + timedelta(seconds=1))
    while moment is not None and moment <= until:
        yield moment
        moment = job.trigger.get_next_fire_time(moment, moment + timedelta(seconds=1))


def _first(job: Job, from_s: int) -> float:
    """The job's first time not before `from_s`."""
    moment = job.trigger.get_next_fire_time(None, datetime.fromtimestamp(from_s, UTC))
    return moment.timestamp() if moment is not None else inf
