"""The calendar's secret address, for programs that cannot sign in: a key, told to who knows the PIN."""

import hmac
import secrets
import threading
from collections.abc import Callable
from pathlib import Path

from daemon.page.guard.kept_file import keep, kept
from daemon.page.guard.tries import Tries

FEED, NEW_KEY = "/calendar.ics", "/calendar/new"
KEY = "key"  # behind the `?`: what a fault logs is the path alone
FILE_NAME = "calendar.json"
_KEY_BYTES = 24


class FeedKey:
    """The key that holds now, and who tried others. From any thread; times are Unix seconds."""

    def __init__(self, folder: Path, now: Callable[[], float]) -> None:
        """`folder` is the page's own."""
        self._path = folder / FILE_NAME
        self._now = now
        self._tries = Tries()
        self._lock = threading.Lock()

    def now(self) -> str | None:
        """The key; None where none was made yet, or what is kept is spoiled."""
        words = kept(self._path)
        key = words.get(KEY) if isinstance(words, dict) else None
        return key if isinstance(key, str) and len(key) >= _KEY_BYTES else None

    def renew(self) -> None:
        """Make a key; one that was there ends. Raises OSError where the folder takes nothing."""
        keep(self._path, {KEY: secrets.token_urlsafe(_KEY_BYTES)})

    def refused_s(self, told: str, visitor: str) -> float | None:
        """None where that is the key. Else for how many seconds this visitor's tries are refused unseen; 0
        for one that was looked at."""
        key = self.now()
        if key is not None and hmac.compare_digest(key.encode(), told.encode("utf-8", "surrogateescape")):
            return None
        with self._lock:  # the same waits as for the PIN, counted apart from it
            return self._tries.admit("", visitor, known=False, now=self._now())
