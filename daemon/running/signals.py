"""Being told to stop: SIGTERM and SIGINT."""

import signal
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager


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
    came: list[bool] = []
    told, telling = socket.socketpair()
    telling.setblocking(False)

    def listen() -> None:
        if told.recv(1):
            stop()

    thread = threading.Thread(target=listen, name="signals", daemon=True)
    thread.start()
    signal.set_wakeup_fd(telling.fileno())
    on_signals(lambda: came.append(True))
    try:
        yield lambda: bool(came)
    finally:
        signal.set_wakeup_fd(-1)
        telling.close()
        thread.join()
        told.close()
