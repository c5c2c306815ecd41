"""The machine that is looked at: where its files begin, its clocks, and what its programs say."""

import os
import shutil
import socket
import subprocess
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from importlib.metadata import PackageNotFoundError, version
from importlib.util import find_spec
from pathlib import Path

from daemon.clock_keeper import kernel_in_step
from sensors.kernel_channels import HWMON_DEVICES, IIO_DEVICES
from sensors.one_wire import W1_DEVICES
from sensors.probe_opening import Roots

_PATIENCE_S = 10.0


def _said(command: Sequence[str]) -> str | None:
    """What a program says, faults included; None where it is not there or does not end."""
    if shutil.which(command[0]) is None:
        return None
    try:
        done = subprocess.run(  # noqa: S603 - the commands are our own, without a shell
            command,
            capture_output=True,
            text=True,
            check=False,
            timeout=_PATIENCE_S,
            stdin=subprocess.DEVNULL,
        )
    except (OSError, subprocess.TimeoutExpired):
        return None
    return (done.stdout or done.stderr).strip()


def _unreached(host: str, port: int) -> str | None:
    """Why no connection can be made, or None when it can."""
    try:
        socket.create_connection((host, port), timeout=_PATIENCE_S).close()
    except (OSError, UnicodeError) as error:
        return getattr(error, "strerror", None) or str(error) or type(error).__name__
    return None


def _library(name: str) -> str | None:
    """A library's version, "" where it tells none, None where it is not there. It is not loaded."""
    if find_spec(name) is None:
        return None
    try:
        return version(name)
    except PackageNotFoundError:
        return ""


def _free_bytes(folder: Path) -> int:
    return shutil.disk_usage(folder).free


@dataclass(frozen=True, slots=True)
class Machine:
    """This machine, or a tree of files that looks like one.

    `now` gives Unix seconds, `monotonic` seconds that never step, `sleep` waits; `said` what a command says,
    `unreached` why a host and port cannot be reached, `library` a library's version. A probe that has not
    answered after `patience_s` hangs. `kernel` says whether the kernel's clock is held in step.
    """

    root: Path = Path("/")
    environ: Mapping[str, str] = field(default_factory=lambda: os.environ)
    now: Callable[[], float] = time.time
    monotonic: Callable[[], float] = time.monotonic
    sleep: Callable[[float], None] = time.sleep
    said: Callable[[Sequence[str]], str | None] = _said
    unreached: Callable[[str, int], str | None] = _unreached
    library: Callable[[str], str | None] = _library
    free_bytes: Callable[[Path], int] = _free_bytes
    kernel: Callable[[], bool | None] = kernel_in_step
    patience_s: float = 20.0

    def path(self, absolute: Path | str) -> Path:
        """A path of the machine, such as /proc/modules, below its root."""
        return self.root / str(absolute).lstrip("/")

    def text(self, absolute: Path | str) -> str | None:
        """What stands in a file of the machine; None where it is not there or may not be read."""
        try:
            return self.path(absolute).read_text(encoding="utf-8", errors="replace")
        except OSError:
            return None

    @property
    def roots(self) -> Roots:
        """Where its kernel shows its devices."""
        return Roots(self.path(W1_DEVICES), self.path(IIO_DEVICES), self.path(HWMON_DEVICES))
