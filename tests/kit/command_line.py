"""`naupliad` as a person types it: in this process where quick, as a process of its own where it matters."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from typing import Any

from daemon.cli import main
from tests.kit.bare_machine import machine_here
from tests.kit.checkout import ROOT

# Only ever waited out by a test that fails.
PATIENCE_S = 300.0


@dataclass(frozen=True, slots=True)
class Said:
    """How a command ended and what it said."""

    code: int
    out: str
    err: str

    @property
    def faults(self) -> list[str]:
        """The lines on standard error."""
        return self.err.splitlines()


def naupliad(*words: str | Path) -> Said:
    """Run `naupliad WORDS` in this process, through the same entry point as the command."""
    out, err, before = StringIO(), StringIO(), sys.argv
    heard = {number: signal.getsignal(number) for number in (signal.SIGTERM, signal.SIGINT)}
    sys.argv = ["naupliad", *map(str, words)]
    code: Any = 0
    try:
        with redirect_stdout(out), redirect_stderr(err):
            main(machine_here())
    except SystemExit as ended:
        code = ended.code or 0
    finally:
        sys.argv = before
        for number, handler in heard.items():
            if signal.getsignal(number) is not handler:
                signal.signal(number, handler)
    return Said(code, out.getvalue(), err.getvalue())


def surroundings(*first: Path) -> dict[str, str]:
    """The environment of a process that imports from this checkout, and from `first` before it."""
    return {**os.environ, "PYTHONPATH": os.pathsep.join(map(str, (*first, ROOT)))}


def begin(*words: str | Path, folder: Path, module: str = "daemon", **more: Any) -> subprocess.Popen[str]:
    """Start `python -m daemon WORDS` in a folder and come back at once; its streams are pipes."""
    return subprocess.Popen(
        [sys.executable, "-m", module, *map(str, words)],
        cwd=folder,
        text=True,
        **{"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "env": surroundings(), **more},
    )


def ended(process: subprocess.Popen[str]) -> Said:
    """Wait for a process that was begun; one that hangs is killed and the test fails."""
    try:
        out, err = process.communicate(timeout=PATIENCE_S)
    except subprocess.TimeoutExpired:
        process.kill()
        process.communicate()
        raise
    return Said(process.returncode, out or "", err or "")


def until(what: str, happened: Callable[[], Any]) -> Any:
    """Look again and again, a moment apart, until something has happened; what came of it."""
    given_up = time.monotonic() + PATIENCE_S
    while not (found := happened()):
        assert time.monotonic() < given_up, f"waited {PATIENCE_S:g} s in vain: {what}"
        time.sleep(0.02)
    return found


def process_of(program: Path, *words: str | Path) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, program, *map(str, words)],
        cwd=program.parent,
        text=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=surroundings(),
    )
