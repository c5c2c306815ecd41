"""The asking end of the inbox: whether a daemon listens, and what it answers."""

import socket
import time
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from daemon.errors import LET_IN, InputError, NaupliadError
from daemon.inbox.line import LINE_BYTES, address, read, written


def is_heard(path: Path) -> bool:
    """Whether a daemon listens at `path`. Raises OSError where that cannot be found out."""
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as probe, address(path) as place:
        probe.settimeout(1.0)
        try:
            probe.connect(place)
        except (ConnectionRefusedError, FileNotFoundError):
            return False
    return True


def ask(path: Path, words: Mapping[str, Any], timeout_s: float = 10.0) -> dict[str, Any] | None:
    """Ask the daemon that listens at `path`; None when none does.

    An answer with the key `error` comes back like any other. Raises InputError when the words are too many,
    NaupliadError when one may not speak to the daemon, or it gives no answer in `timeout_s` seconds.
    """
    line = written(words)
    if len(line) > LINE_BYTES:
        raise InputError(f"{path}: found {len(line)} bytes to ask with; allowed are {LINE_BYTES}")
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as daemon:
        daemon.settimeout(timeout_s)
        try:
            with address(path) as place:
                daemon.connect(place)
        except (FileNotFoundError, ConnectionRefusedError, NotADirectoryError):
            return None
        except PermissionError as error:
            raise NaupliadError(f"{path}: found an inbox you may not speak into; {LET_IN}") from error
        except OSError as error:
            raise NaupliadError(f"{path}: the daemon cannot be asked: {error.strerror or error}") from error
        return _answer(daemon, line, path, timeout_s)


def _answer(daemon: socket.socket, line: bytes, path: Path, timeout_s: float) -> dict[str, Any]:
    ends = time.monotonic() + timeout_s
    came = b""
    try:
        with suppress(BrokenPipeError):  # turned away while still speaking: the answer says why
            daemon.sendall(line)
        while not came.endswith(b"\n"):
            daemon.settimeout(max(ends - time.monotonic(), 0.001))
            if not (piece := daemon.recv(65536)):
                raise NaupliadError(f"{path}: the daemon hung up without an answer")
            came += piece
        return read(came)
    except TimeoutError:
        raise NaupliadError(
            f"{path}: the daemon gave no answer in {timeout_s:g} s; before asking again, look if it was done"
        ) from None
    except OSError as error:
        raise NaupliadError(f"{path}: the line to the daemon broke: {error.strerror or error}") from error
