"""The wait for a disk that takes no writes; else the service manager starts against it every 15 s."""

import logging
import sqlite3
import threading
from collections.abc import Callable
from pathlib import Path

from daemon.clock import Clock
from daemon.errors import NaupliadError
from daemon.post.carrier import retry_at
from daemon.running.disk.fault import disk_fault
from daemon.running.service_notices import ServiceNotices
from daemon.seconds import HOUR_S
from daemon.store import done_and_said
from daemon.store.file import WritingStore

log = logging.getLogger(__name__)

_LOOK_S = 60
_SAY_AGAIN_S = HOUR_S


def wait_for_disk(
    line: str,
    times: int,
    well: Callable[[], bool],
    meanwhile: Callable[[], None],
    notices: ServiceNotices,
    clock: Clock,
) -> None:
    """Come back when the disk is `well`, asked once a minute; `line` is logged now and once an hour.

    One that failed `times` in a row though it seemed well is asked later and later: 1, 2, 5 … 60 minutes.
    `meanwhile` is called before each look. A signal's handler may end it by an exception.
    """
    log.error("%s", line)
    notices.status(line)
    began = said = clock.monotonic_s()
    pause_s = retry_at(times, 0)
    never = threading.Event()
    while True:
        notices.holding()
        meanwhile()
        clock.wait(clock.monotonic_s() + _LOOK_S, never)
        now = clock.monotonic_s()
        if now - began >= pause_s and well():
            return
        if now - said >= _SAY_AGAIN_S:
            said = now
            log.error("still: %s", line)


def takes_writes(state: Path) -> bool:
    """Try the disk with the store itself, and take back what was written. True where all else is amiss."""
    try:
        store = WritingStore(state)
        try:
            with store.transaction() as connection:
                done_and_said.begin_job(connection, "disk tried", "", 0)
                done_and_said.release_job(connection, "disk tried", "")
        finally:
            store.close()
    except (NaupliadError, sqlite3.DatabaseError) as error:
        return disk_fault(error, state) is None
    return True
