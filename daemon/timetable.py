"""Hourly and daily jobs: when they are due, by the same triggers in real and in played time."""

import logging
import queue
import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Protocol

from apscheduler.executors.pool import ThreadPoolExecutor
from apscheduler.schedulers.background import BackgroundScheduler
from apscheduler.triggers.cron import CronTrigger

# A job missed for longer than this is not made up for: a night's letter at three in the morning helps nobody.
GRACE = timedelta(hours=6)


@dataclass(frozen=True, slots=True)
class Job:
    """Something done at set times; `work` gets the time it was due, Unix seconds."""

    name: str
    trigger: CronTrigger
    work: Callable[[int], None]


class Timetable(Protocol):
    """Says which jobs have come due."""

    def due(self, now_s: int) -> list[tuple[Job, int]]:
        """Jobs that came due since the last call, each with the time it was due."""

    def clock_stepped(self, now_s: int, since_s: int | None = None) -> None:
        """The wall clock was moved: work out the next times anew.

        What was due in the grace before `now_s`, but not before `since_s`, comes now: it may have been leapt
        over. The ledger knows what was done.
        """

    def close(self) -> None:
        """Stop."""


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


class PlayedTimetable:
    """The timetable of a clock that plays, or is not sure: asks each trigger for its next time."""

    def __init__(self, jobs: Sequence[Job], began_s: int) -> None:
        """Jobs come due from `began_s` on."""
        self._jobs = tuple(jobs)
        self._next = {job.name: self._after(job, began_s - 1) for job in jobs}

    def due(self, now_s: int) -> list[tuple[Job, int]]:
        """Jobs that came due; one that was missed several times comes once, with its newest time."""
        found = []
        for job in self._jobs:
            if self._next[job.name] <= now_s:
                latest = last_due(job, now_s)
                self._next[job.name] = self._after(job, now_s)
                if latest is not None:
                    found.append((job, latest))
        return sorted(found, key=lambda pair: pair[1])

    def clock_stepped(self, now_s: int, since_s: int | None = None) -> None:
        """Work out the next times anew, from those that may have been leapt over on."""
        grace_s = int(GRACE.total_seconds())
        after = now_s if since_s is None else min(now_s, max(since_s - 1, now_s - grace_s))
        self._next = {job.name: self._after(job, after) for job in self._jobs}

    def close(self) -> None:
        """Nothing to stop."""

    @staticmethod
    def _after(job: Job, now_s: int) -> float:
        moment = job.trigger.get_next_fire_time(None, datetime.fromtimestamp(now_s + 1, UTC))
        return moment.timestamp() if moment is not None else float("inf")


class RunningTimetable:
    """APScheduler tells when; the work itself is done by the beat, which is the only writer.

    The scheduler's worker only puts the job into a queue and wakes the beat, so it never blocks and never
    touches the store.
    """

    def __init__(self, jobs: Sequence[Job], wake: threading.Event, now_s: int, since_s: int) -> None:
        """Start. A job due in the grace before `now_s` is told of at once, if the station was there by then.

        `since_s` is when the station's first reading was taken; the ledger knows what was done.
        """
        logging.getLogger("apscheduler").setLevel(logging.WARNING)
        self._jobs = tuple(jobs)
        self._wake = wake
        self._due: queue.SimpleQueue[Job] = queue.SimpleQueue()
        self._scheduler = BackgroundScheduler(
            executors={"default": ThreadPoolExecutor(1)},
            job_defaults={
                "coalesce": True,
                "max_instances": 1,
                "misfire_grace_time": int(GRACE.total_seconds()),
            },
            timezone=UTC,
        )
        for job in jobs:
            self._scheduler.add_job(self._tell, job.trigger, args=[job], id=job.name)
            missed = last_due(job, now_s)
            if missed is not None and missed >= since_s:
                self._tell(job)
        self._scheduler.start()

    def _tell(self, job: Job) -> None:
        self._due.put(job)
        self._wake.set()

    def due(self, now_s: int) -> list[tuple[Job, int]]:
        """Jobs the scheduler has told of since the last call."""
        found = []
        while not self._due.empty():
            job = self._due.get()
            latest = last_due(job, now_s)
            if latest is not None:
                found.append((job, latest))
        return sorted(found, key=lambda pair: pair[1])

    def clock_stepped(self, now_s: int, since_s: int | None = None) -> None:
        """Recompute every next run time: APScheduler 3 would wait for the old one, by the old clock."""
        now = datetime.fromtimestamp(now_s, UTC)
        for job in self._jobs:
            moment = job.trigger.get_next_fire_time(None, now)
            self._scheduler.modify_job(job.name, next_run_time=moment)
            missed = last_due(job, now_s)
            if since_s is not None and missed is not None and missed >= since_s:
                self._tell(job)

    def next_times(self) -> dict[str, int]:
        """When each job is next due, Unix seconds, for the log and the checks."""
        return {job.id: int(job.next_run_time.timestamp()) for job in self._scheduler.get_jobs()}

    def close(self) -> None:
        """Stop the scheduler."""
        self._scheduler.shutdown(wait=False)
