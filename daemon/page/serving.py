"""Serving the page until somebody ends it: on an address of its own, or on a socket that systemd opened."""

import logging
import os
import signal
import socket
from collections.abc import Callable
from types import FrameType

from flask import Flask
from waitress.server import create_server

from daemon.errors import InputError

# Each keeps a connection to the store open for a moment; more would only wait for the same two cores.
_THREADS = 4
_PASSED_FD = 3  # sd_listen_fds(3): the first socket that systemd hands over


def serve(site: Flask, host: str, port: int, ready: Callable[[str], object]) -> None:
    """Serve until SIGTERM or Ctrl-C; `ready` is told the page's address once it answers.

    Raises InputError where the address is taken, or none of this machine's.
    """
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # "Task queue depth": said in ordinary use
    passed = _passed()
    options = {"threads": _THREADS, "ident": None, "max_request_body_size": 2**20, "channel_timeout": 30}
    try:
        if passed is not None:
            server = create_server(site, sockets=[passed], **options)
        else:
            server = create_server(site, host=host, port=port, **options)
    except (OSError, ValueError) as error:
        found = getattr(error, "strerror", None) or error
        raise InputError(
            f"{host}:{port}: found {found}; allowed: a free port of one of this machine's addresses"
        ) from error

    def end(_signal: int, _frame: FrameType | None) -> None:
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGTERM, end)
    ready(_address(passed, server.effective_host, server.effective_port))
    try:
        server.run()  # ends by itself on KeyboardInterrupt
    finally:
        server.close()
        signal.signal(signal.SIGTERM, before)


def _passed() -> socket.socket | None:
    """The socket that systemd opened for this process; None where it opened none."""
    if os.environ.get("LISTEN_PID") != str(os.getpid()) or os.environ.get("LISTEN_FDS", "0") == "0":
        return None
    return socket.socket(fileno=_PASSED_FD)


def _address(passed: socket.socket | None, host: str, port: int) -> str:
    if passed is not None:
        host, port = passed.getsockname()[:2]
    shown = f"[{host}]" if ":" in host else host
    return f"http://{shown}:{port}"
