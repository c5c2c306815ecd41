"""Says after a completed beat that the station still works, to an address its owner looks after."""

import logging
import ssl
import time
from collections.abc import Callable

from daemon.errors import NaupliadError
from daemon.post import http_request
from daemon.station import WebAddress
from daemon.workers import Workers

log = logging.getLogger(__name__)

_LANE = "alive"


class SignOfLife:
    """Asks for the address, empty of content. A failure is logged once until it is over; nothing waits."""

    def __init__(
        self,
        address: WebAddress,
        every_s: int,
        workers: Workers,
        *,
        monotonic_s: Callable[[], float] = time.monotonic,
        timeout_s: float = 20.0,
        context: ssl.SSLContext | None = None,
    ) -> None:
        """`monotonic_s` counts from sign to sign: a clock that steps neither floods nor silences it."""
        self._address = address
        self._every_s = every_s
        self._workers = workers
        self._monotonic_s = monotonic_s
        self._timeout_s = timeout_s
        self._context = context
        self._last_s: float | None = None
        self._busy = False
        self._failing = False

    def after_beat(self, at: int) -> None:
        """A beat was completed at `at`, Unix seconds: say so if it is time."""
        now_s = self._monotonic_s()
        if self._busy or (self._last_s is not None and now_s - self._last_s < self._every_s):
            return
        self._last_s = now_s
        self._busy = True
        self._workers.submit(lambda: self._say(at), self._said, lane=_LANE)

    def _say(self, at: int) -> int:
        answer = http_request.request(
            self._address,
            "GET",
            None,
            {"User-Agent": "naupliad", "Cache-Control": "no-store"},
            where=f"sign of life: {http_request.shown(self._address)}",
            now_s=at,
            timeout_s=self._timeout_s,
            context=self._context,
        )
        return answer.status

    def _said(self, status: int | None, error: Exception | None) -> None:
        self._busy = False
        failed = status is None or not 200 <= status < 300
        if failed and not self._failing:
            fault = str(error) if isinstance(error, NaupliadError) else type(error).__name__
            answered = f"sign of life: {http_request.shown(self._address)}: answered {status}"
            log.warning("%s", answered if error is None else fault)
        if self._failing and not failed:
            log.info("sign of life: %s is reached again", http_request.shown(self._address))
        self._failing = failed
