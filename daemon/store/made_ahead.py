"""A new store, made by a child: what migrates it is no weight on the daemon that follows.

sqlite-utils is 3 MB that a daemon would carry from its first start until its next. The child is `python -m
daemon.store.made_ahead STATE`. Where it fails nothing is lost: who opens the store makes it, and says what is
wrong.
"""

import subprocess
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from daemon.store.file import FILE_NAME, LOCK, WritingStore

CHILD = (sys.executable, "-m", "daemon.store.made_ahead")
_TIMEOUT_S = 120.0  # a small Pi with a slow card


def make_ahead(state: Path, *, child: Sequence[str] = CHILD) -> None:
    """Have a child make the store of a folder that never had one: where its lock is, one was and is gone."""
    with suppress(OSError, subprocess.SubprocessError):
        if any((state / name).exists() for name in (FILE_NAME, LOCK)):
            return
        subprocess.run(  # noqa: S603 - our own module
            [*child, str(state.absolute())],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=_TIMEOUT_S,
            check=False,
        )


def main(arguments: Sequence[str]) -> int:
    """Make the store of the folder named by the one argument."""
    state = Path(arguments[0])
    state.mkdir(parents=True, exist_ok=True)
    WritingStore(state).close()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
