"""Modules of tests compiled once in a run, however many processes read them.

pytest rewrites each assert of a module as it imports it, which takes longer than all else that a process
does before its first test. Processes begun together come to a module at the same moment: each would do it.
"""

import fcntl
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.kit.checkout import ROOT

TOLD = "compiled"  # how a process hears of the folder


def kept_below(folder: Path) -> dict[str, str] | None:
    """What to tell processes so that they keep below `folder` what they compile; None where they keep it."""
    if sys.dont_write_bytecode or (sys.pycache_prefix is None and not os.access(ROOT / "daemon", os.W_OK)):
        return {"PYTHONPYCACHEPREFIX": str(folder), "PYTHONDONTWRITEBYTECODE": ""}
    return None


@contextmanager
def one_at_a_time(module: pytest.Module, locks: Path) -> Iterator[None]:
    """No other process imports this module meanwhile: the next finds it compiled."""
    with (locks / f"{module.nodeid.replace('/', '-')}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
