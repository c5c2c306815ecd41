"""A machine on which nothing of ours is: what a command finds in a test that does not tell it where to look.

Else it would look at the machine that the tests run on, and ask whatever daemon is at work there.
"""

import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from daemon.commissioning.machine import Machine
from tests.kit.compiled import kept_below

# What systemd, a person or a Pi's image may have told the process that runs the tests.
_TOLD = (
    *("CACHE_DIRECTORY", "CREDENTIALS_DIRECTORY", "NOTIFY_SOCKET", "RUNTIME_DIRECTORY", "STATE_DIRECTORY"),
    *("GPIOZERO_PIN_FACTORY", "LG_WD", "MATPLOTLIBRC", "MPLCONFIGDIR"),
)
_root: Path | None = None


@contextmanager
def untold(shared: Path) -> Iterator[None]:
    """An environment that tells of no place of ours; what programs keep for later goes below `shared`."""
    with pytest.MonkeyPatch.context() as patch:
        for name in (*_TOLD, *(name for name in os.environ if name.startswith("NAUPLIAD_"))):
            patch.delenv(name, raising=False)
        for name in ("CACHE", "CONFIG", "DATA", "STATE"):
            patch.setenv(f"XDG_{name}_HOME", str(shared / name.lower()))
        if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
            # So a shell has it that runs the tests in the background, and our children would inherit it.
            signal.signal(signal.SIGINT, signal.default_int_handler)
        # Else each of some hundred processes compiles all of our modules anew.
        for name, value in (kept_below(shared / "compiled") or {}).items():
            patch.setenv(name, value)
        yield


@contextmanager
def bare_machine(root: Path) -> Iterator[None]:
    """Until it ends, the usual places of commands, and of processes begun meanwhile, are below `root`."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("STATE_DIRECTORY", str(root / "var/lib/naupliad"))
        patch.setattr(sys.modules[__name__], "_root", root)
        yield


def machine_here() -> Machine | None:
    """What a command looks at that is told of no machine; None outside of tests."""
    return None if _root is None else Machine(_root)
