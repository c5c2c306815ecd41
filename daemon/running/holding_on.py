"""Under a service manager, a disk that takes no writes is waited for, not started against every 15 s."""

import logging
import threading
from collections.abc import Callable

from daemon.clock import Clock
from daemon.post.carrier import retry_at
from daemon.service import ServiceNotices

log = logging.getLogger(__name__)

_LOOK_S = 60
_SAY_AGAIN_S = 3600


def hold_on(
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
