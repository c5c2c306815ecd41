"""Who is signed in, under one lock and kept over restarts: the PIN, its tries and its sessions together."""

import logging
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from daemon.page.guard.kept_file import keep, kept
from daemon.page.guard.pin import PinSource, digits_of
from daemon.page.guard.sessions import IDLE_S, Session, sessions_of
from daemon.page.guard.tries import WAITS_S, tries_of

log = logging.getLogger(__name__)

SESSIONS, TRIES = "sessions.json", "tries.json"
_WRITE_AFTER_S = IDLE_S / 6  # how old the last use of a session may be on the disk
_AT_ONCE = 2  # one try is looked at, one waits for that: the page's other threads serve readers


@dataclass(frozen=True, slots=True)
class SignIn:
    """What came of a try: `session` and `device` are cookies where it was the PIN; else why it was not."""

    session: str | None = None
    device: str | None = None
    wait_s: float = 0.0
    why: str = ""  # "no-digits", "busy", "early", "wrong", "no-pin"


class SignInDesk:
    """Lets people in and out, from any thread."""

    def __init__(self, folder: Path, now: Callable[[], float], environ: Mapping[str, str]) -> None:
        """What was kept in the page's own folder counts on."""
        self._folder = folder
        self._now = now
        self._pins = PinSource(folder, environ)
        self._tries = tries_of(kept(folder / TRIES))
        self._sessions = sessions_of(kept(folder / SESSIONS))
        self._written_at = now()
        self._lock = threading.Lock()
        self._looking = threading.Lock()
        self._places = threading.BoundedSemaphore(_AT_ONCE)
        self._can_keep = True

    def has_pin(self) -> bool:
        """Whether anybody can sign in at all."""
        return self._pins.now() is not None

    def session(self, cookie: str | None) -> Session | None:
        """The session of a cookie under the PIN that holds now."""
        record = self._pins.now()
        if record is None or cookie is None:
            return None
        with self._lock:
            return self._sessions.find(record.id, cookie)

    def used(self, session: Session) -> None:
        """Somebody does something: the session is not idle."""
        with self._lock:
            session.active_at = self._now()
            if abs(session.active_at - self._written_at) >= _WRITE_AFTER_S:
                self._keep_sessions()

    def sign_out(self, cookie: str) -> None:
        """End a session; whoever copied its cookie is out as well."""
        with self._lock:
            self._sessions.end(cookie)
            self._keep_sessions()

    def sign_in(self, typed: str, address: str, device: str | None, ends_at: float) -> SignIn:
        """Look whether that is the PIN, where it may be tried now. `device` is the cookie of a known one."""
        if (digits := digits_of(typed)) is None:
            return SignIn(why="no-digits")
        if not self._places.acquire(blocking=False):
            return SignIn(why="busy")
        try:
            with self._looking:
                return self._look(digits, address, device, ends_at)
        finally:
            self._places.release()

    def _look(self, digits: str, address: str, device: str | None, ends_at: float) -> SignIn:
        record, now = self._pins.now(), self._now()
        if record is None:
            return SignIn(why="no-pin")
        with self._lock:
            known = self._sessions.device(record.id, device, now=now)
            visitor = known or address
            if wait_s := self._tries.admit(record.id, visitor, known=known is not None, now=now):
                return SignIn(wait_s=wait_s, why="early")
            self._keep(TRIES, self._tries.words())  # before the look: who ends the page gains no try
            wait_s = WAITS_S[min(self._tries.visitors[visitor].wrong, len(WAITS_S)) - 1]
        if not record.fits(digits):
            return SignIn(wait_s=wait_s, why="wrong")
        with self._lock:
            self._tries.was_right(visitor)
            cookie = self._sessions.begin(record.id, now=now, ends_at=ends_at)
            remembered = self._sessions.remember(record.id, device, now=now)
            self._keep(TRIES, self._tries.words())
            self._keep_sessions()
        return SignIn(cookie, remembered)

    def _keep_sessions(self) -> None:
        self._written_at = self._now()
        self._keep(SESSIONS, self._sessions.words())

    def _keep(self, name: str, words: object) -> None:
        try:
            keep(self._folder / name, words)
            self._can_keep = True
        except OSError as error:  # a full disk keeps nobody out; after a restart people sign in once more
            if self._can_keep:
                log.error("%s: cannot be kept: %s", self._folder / name, error.strerror or error)
            self._can_keep = False
