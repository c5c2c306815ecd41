"""The check of the check: the daemon of tests/kit/fast_life.py with three leaks, which looks must find."""

import json
import os
import sys
import threading

from tests.kit import fast_life

_kept: list[object] = []


class LeakingBackroom(fast_life.CountedBackroom):
    """Forgets a handle, a thread and a heap of lists at every task."""

    def submit(self, *words: object, **more: object) -> None:
        _kept.extend([[]] * 1 for _ in range(2000))
        _kept.append(os.open(os.devnull, os.O_RDONLY))
        threading.Thread(target=threading.Event().wait, daemon=True).start()
        super().submit(*words, **more)  # type: ignore[arg-type]  # handed on as it came


if __name__ == "__main__":
    fast_life.CountedBackroom = LeakingBackroom  # type: ignore[misc]  # the plant
    fast_life.live(json.loads(sys.argv[1]))
