"""What the daemon answered about an entry, for as long as somebody may still look at its echo."""

import threading
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

_MOST = 500  # some 1 kB each


@dataclass(frozen=True, slots=True)
class Answered:
    """What a deed changed, as the daemon answers it, what it asked back, and when that was (Unix s)."""

    changed: Mapping[str, Any]
    doubts: tuple[str, ...]
    at: int


class Echoes:
    """The answers by the entry's id, the last ones. They end with the process: the entry itself does not."""

    def __init__(self, most: int = _MOST) -> None:
        """At most so many are kept."""
        self._most = most
        self._answers: dict[int, Answered] = {}
        self._lock = threading.Lock()

    def keep(self, deed_id: int, answered: Mapping[str, Any], at: int) -> None:
        """Keep an answer, in the place of an earlier one about the same entry."""
        changed, doubts = answered.get("changed") or {}, answered.get("doubts") or ()
        with self._lock:
            self._answers.pop(deed_id, None)
            self._answers[deed_id] = Answered(changed, tuple(doubts), at)
            while len(self._answers) > self._most:
                del self._answers[next(iter(self._answers))]

    def of(self, deed_id: int) -> Answered | None:
        """The answer, or None where it is not known any more."""
        with self._lock:
            return self._answers.get(deed_id)
