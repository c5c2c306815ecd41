"""A form is noted once, however often it is sent: a double tap, the back button, a retry after a broken line.

Each form bears a key, and what came of a key is remembered for a day. That memory ends with the process and
holds only so many. Of a key that this process did not give out, or has forgotten, the store is asked instead:
whether the same entry was recorded since the form was made. So is of one whose answer did not come.
"""

import re
import secrets
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from daemon.seconds import DAY_S

_MOST = 2000  # some 200 bytes each
_KEY = re.compile(r"([0-9]{1,11})-([0-9a-f]{8})-[0-9a-f]{16}")


@dataclass
class Sent:
    """What came of a form for one vessel: the entry's id, and what was asked for.

    `doubtful`: whether it was done is not known to this process."""

    doubtful: bool
    deed_id: int | None = None
    asked: object = None
    lock: threading.Lock = field(default_factory=threading.Lock)


class Once:
    """Gives out keys and remembers what came of them. Times are Unix seconds."""

    def __init__(self, most: int = _MOST) -> None:
        """At most so many are remembered."""
        self._most = most
        self._process = secrets.token_hex(4)
        self._sent: dict[str, Sent] = {}
        self._forgotten_at = 0
        self._lock = threading.Lock()

    def __len__(self) -> int:
        """How many are remembered."""
        return len(self._sent)

    def key(self, at: int) -> str:
        """A key for a form that is made now."""
        return f"{at}-{self._process}-{secrets.token_hex(8)}"

    @staticmethod
    def made_at(key: str, at: int) -> int | None:
        """When the form of a key was made; None where that is no key, or it is older than a day."""
        match = _KEY.fullmatch(key)
        made_at = None if match is None else min(int(match[1]), at)  # a clock may have been put back
        return None if made_at is None or at - made_at > DAY_S else made_at

    @contextmanager
    def sent(self, key: str, what: str) -> Iterator[Sent]:
        """What came of the form of a key as far as `what` goes. Who sends it at the same time waits."""
        sent = self._of(f"{key}/{what}", key)
        with sent.lock:
            yield sent

    def _of(self, name: str, key: str) -> Sent:
        made, process, _ = key.split("-")
        with self._lock:
            if name not in self._sent:
                known = process == self._process and int(made) > self._forgotten_at
                self._sent[name] = Sent(doubtful=not known)
                self._forget()
            return self._sent[name]

    def _forget(self) -> None:
        while len(self._sent) > self._most:
            oldest = next(iter(self._sent))
            self._forgotten_at = max(self._forgotten_at, int(oldest.partition("-")[0]))
            del self._sent[oldest]


def remembered(sent: Sent, found: Callable[[], int | None]) -> int | None:
    """The entry that a form came to before; `found` looks it up in the store, where memory does not tell."""
    if sent.deed_id is None and sent.doubtful:
        sent.deed_id = found()
    return sent.deed_id
