"""The wait for what a first start needs: a station file that is right, and equipment that it can run with.

A daemon that ended here would be started against the same fault every 15 s, and nobody could be helped by the
page: while this waits the inbox is open for the words of the set-up.
"""

import logging
import os
import threading
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path

from daemon.clock import Clock
from daemon.config import read_station
from daemon.errors import InputError, NaupliadError
from daemon.inbox.line import INBOX
from daemon.inbox.listening import Inbox
from daemon.made_beside import check_writable, unwritable
from daemon.running.process import stopped_by_signals
from daemon.running.service_notices import ServiceNotices
from daemon.running.station_file_watch import FileState, file_state
from daemon.setting_up.desk import SetUpDesk, Sifted
from daemon.setting_up.place import SetUpPlace
from daemon.workers import ThreadWorkers

log = logging.getLogger(__name__)

_LOOK_S = 3
# A probe that is plugged in meanwhile is found so soon.
_TRY_AGAIN_S = 60


@dataclass
class FirstFile:
    """The wait. `why` is what kept the daemon from running; `try_to_equip` raises while it does."""

    config: Path
    state: Path
    why: NaupliadError
    try_to_equip: Callable[[], object]
    clock: Clock
    wake: threading.Event = field(default_factory=threading.Event)
    notices: ServiceNotices = field(default_factory=lambda: ServiceNotices(os.environ))
    _kept: threading.Event = field(default_factory=threading.Event)
    _stopped: threading.Event = field(default_factory=threading.Event)
    _judged: FileState | str = "never"
    _last_seen: FileState | str = "never"
    _file_is_right: bool = False
    _tries_s: float = 0.0

    def wait(self) -> bool:
        """Until the daemon can begin: True; or until a signal: False.

        Raises NaupliadError in one line where the state folder is of no use or another daemon listens there.
        """
        _usable(self.state)
        with ExitStack() as ending:
            inbox = Inbox(self.state / INBOX, self.wake)
            ending.callback(inbox.close)
            workers = ThreadWorkers(self.wake)
            ending.callback(workers.close, patience_s=1.0)
            place = SetUpPlace(
                self.config,
                self.state,
                os.environ,
                followed=None,
                waits_for=lambda: tuple(str(self.why).splitlines()),
                kept=self._was_kept,
            )
            set_up = SetUpDesk(place, workers)
            ending.callback(set_up.close)
            requests = Sifted(inbox, set_up)
            asked_to_stop = ending.enter_context(stopped_by_signals(self._stop))
            self.notices.expect_every(_LOOK_S)
            self._say()
            self.notices.ready()
            while not self._may_begin():
                self.notices.alive()
                self.clock.wait(self.clock.monotonic_s() + _LOOK_S, self.wake)
                self.wake.clear()
                if self._stopped.is_set():
                    break
                for request in requests.requests():
                    request.answer({"error": f"inbox: {self._first_line()}"})
                workers.settle()
        began = not asked_to_stop()
        (self.notices.anew if began else self.notices.stopping)()
        return began

    def _stop(self) -> None:
        self._stopped.set()
        self.wake.set()

    def _was_kept(self) -> None:
        self._kept.set()
        self.wake.set()

    def _may_begin(self) -> bool:
        """Whether the file is right by now, and what it asks for is there."""
        seen = file_state(self.config)
        stood_still, self._last_seen = seen == self._last_seen, seen
        whole = stood_still or self._kept.is_set()  # what the daemon itself kept is never half-written
        self._kept.clear()
        if whole and seen != self._judged:
            self._judged = seen
            self._file_is_right = self._judge()
            self._tries_s = self.clock.monotonic_s()
        return self._file_is_right and self._can_be_equipped()

    def _judge(self) -> bool:
        try:
            read_station(self.config)
        except InputError as refused:
            if str(refused) != str(self.why):
                self.why = refused
                self._say()
            return False
        return True

    def _can_be_equipped(self) -> bool:
        now = self.clock.monotonic_s()
        if now < self._tries_s:
            return False
        self._tries_s = now + _TRY_AGAIN_S
        try:
            self.try_to_equip()
        except NaupliadError as missing:
            if str(missing) != str(self.why):
                self.why = missing
                self._say()
            return False
        return True

    def _first_line(self) -> str:
        if self._file_is_right:
            return f"found nothing watched yet: {str(self.why).splitlines()[0]}"
        return (
            f"found no station file to go by yet; allowed: the set-up in the page, or to write {self.config}"
        )

    def _say(self) -> None:
        lines = str(self.why).splitlines()
        for line in lines:
            log.error("%s", line)
        log.error("waiting for it; the set-up in the page can help")
        self.notices.status(f"waits, nothing is watched yet: {lines[0]}")


def _usable(state: Path) -> None:
    """Raises InputError in one line unless the folder is there, or can be made, and takes files."""
    try:
        state.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(unwritable(state, error)) from error
    check_writable(state)
