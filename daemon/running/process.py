"""The daemon as a process: who started it, how it is stopped, and how another takes its place."""

import os
import signal
import socket
import sys
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import NoReturn

# Tells the process that follows that it was begun by this one, with nobody looking on.
_BEGUN_ANEW = "NAUPLIAD_BEGUN_ANEW"


def begun_anew(environ: Mapping[str, str]) -> bool:
    """Whether a daemon that ran has begun this one, for another station file."""
    return bool(environ.get(_BEGUN_ANEW))


def nobody_looks_on(environ: Mapping[str, str]) -> bool:
    """Whether nobody is there to see a daemon refuse: a service manager started it, or a daemon did."""
    return bool(environ.get("NOTIFY_SOCKET")) or begun_anew(environ)


def on_signals(do: Callable[[], None]) -> None:
    """From now on, SIGTERM and SIGINT do this, in the main thread."""
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda _number, _frame: do())


@contextmanager
def stopped_by_signals(stop: Callable[[], None]) -> Iterator[Callable[[], bool]]:
    """While inside, SIGTERM and SIGINT call `stop`, from a thread of its own.

    A handler of Python's runs in the main thread and only when that wakes: a signal that comes as it falls
    asleep would be heard at the next beat, a minute later. Gives what says, afterwards too, whether one came.
    """
    signals: list[bool] = []
    hearing, telling = socket.socketpair()
    telling.setblocking(False)

    def listen() -> None:
        if hearing.recv(1):
            stop()

    thread = threading.Thread(target=listen, name="signals", daemon=True)
    thread.start()
    signal.set_wakeup_fd(telling.fileno())
    on_signals(lambda: signals.append(True))
    try:
        yield lambda: bool(signals)
    finally:
        signal.set_wakeup_fd(-1)
        telling.close()
        thread.join()
        hearing.close()


def begin_anew() -> NoReturn:
    """Put a new process in the place of this one: the same command, number and service, nothing left over."""
    os.environ[_BEGUN_ANEW] = "1"
    sys.stdout.flush()
    sys.stderr.flush()
    os.closerange(3, os.sysconf("SC_OPEN_MAX"))  # what a library left open must not hold a pin or a lock
    os.execv(sys.executable, [sys.executable, *sys.orig_argv[1:]])  # noqa: S606 - the command it is itself
