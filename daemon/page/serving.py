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
from daemon.page.guard.answers import MOST_HEADER_BYTES, MOST_REQUEST_BYTES

# Each keeps a connection to the store open for a moment; more would only wait for the same two cores.
_THREADS = 4
_SILENT_S = 30  # a browser that says nothing for so long gives up its place
_PASSED_FD = 3  # sd_listen_fds(3): the first socket that systemd hands over


def serve(site: Flask, host: str, port: int, ready: Callable[[str], object]) -> None:
    """Serve until SIGTERM or Ctrl-C; `ready` is told the page's address once it answers.

    Raises InputError where the address is taken, or none of this machine's.
    """
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # "Task queue depth": said in ordinary use
    try:
        listening = _passed() or _opened(host, port)
        server = create_server(
            site,
            sockets=[listening],
            threads=_THREADS,
            ident=None,
            channel_timeout=_SILENT_S,
            max_request_header_size=MOST_HEADER_BYTES,
            max_request_body_size=MOST_REQUEST_BYTES,
        )
    except OSError as error:  # of a socket, its words name the address once more
        known = error.errno is not None and error.errno > 0  # a name that is none has a number of its own
        found = os.strerror(error.errno or 0) if known else error.strerror or error
        raise InputError(
            f"{host}:{port}: found {found}; allowed: a free port of one of this machine's addresses"
        ) from error

    def end(_signal: int, _frame: FrameType | None) -> None:
        # "Canceling pending task(s)": their browsers tell those who asked.
        logging.getLogger("waitress").setLevel(logging.ERROR)
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGTERM, end)
    ready(_address(listening))
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


def _opened(host: str, port: int) -> socket.socket:
    """A socket of its own. Raises OSError where it cannot be had."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    return socket.create_server((host, port), family=family)


def _address(listening: socket.socket) -> str:
    host, port = listening.getsockname()[:2]
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"
