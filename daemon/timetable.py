"""Hourly and daily jobs: when they are due, by the clock of whoever asks."""

import inspect
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta, tzinfo
from math import inf
from types import ModuleType
from typing import Protocol
from zoneinfo import ZoneInfo

from daemon.bare_import import instead, without_its_package

# A job missed for longer than this is not made up for: a night's letter at three in the morning helps nobody.
GRACE = timedelta(hours=6)


class Trigger(Protocol):
    """Knows at which times something is to be done; one of APScheduler's."""

    def get_next_fire_time(self, previous_fire_time: datetime | None, now: datetime, /) -> datetime | None:
        """The first time after the previous one and not before `now`; None where there is none any more."""


@dataclass(frozen=True, slots=True)
class Job:
    """Something done at set times; `work` gets the time it was due, Unix seconds."""

    name: str
    trigger: Trigger
    work: Callable[[int], None]


def every_hour() -> Trigger:
    """At every full hour, UTC."""
    return _cron(UTC, minute=0)


def every_day(clock: time, zone: ZoneInfo) -> Trigger:
    """When the local clock shows `clock`: a full minute, not from 01:00 to 02:59, where clocks change."""
    return _cron(zone, hour=clock.hour, minute=clock.minute)


class Timetable:
    """Says which jobs have come due, and when the next one will; what time it is, others say."""

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


def _cron(zone: tzinfo, **fields: int) -> Trigger:
    _import_bare()
    from apscheduler.triggers.cron import CronTrigger

    trigger: Trigger = CronTrigger(timezone=zone, **fields)
    return trigger


def _import_bare() -> None:
    """Import APScheduler's triggers without two things that come with them.

    The package looks up its own version when it is imported (2 MB of `importlib.metadata`): it is made, and
    not run. And before Python 3.14 the triggers want one name of asyncio (2 MB), which nothing here calls.
    """
    if "apscheduler.util" in sys.modules:
        return
    without_its_package("apscheduler")
    stand_in = ModuleType("asyncio")
    vars(stand_in)["iscoroutinefunction"] = inspect.iscoroutinefunction
    with instead({"asyncio": stand_in}):
        import apscheduler.util  # noqa: F401 - imported for what it takes from asyncio
