"""Between a client and a daemon's inbox: answers that are lost on the way, requests that never come."""

import json
import os
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from daemon.inbox.line import INBOX

PASSED, ANSWER_LOST, REQUEST_LOST, TURNED_AWAY = "passed", "answer lost", "request lost", "turned away"
BUSY = "inbox: 16 clients are here already; try again later"  # as daemon.inbox says it


@contextmanager
def lossy(state: Path, *fates: str) -> Iterator[None]:
    """What becomes of the next requests, one after another; later ones are passed on."""
    path, real = state / INBOX, state / "real.sock"
    os.rename(path, real)  # noqa: PTH104 - a socket keeps listening under its new name
    listener = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
    listener.bind(str(path))
    listener.listen()
    left = list(fates)

    def carry() -> None:
        with suppress(OSError):
            while True:
                client, _ = listener.accept()
                with client:
                    _carry(client, real, left.pop(0) if left else PASSED)

    thread = threading.Thread(target=carry, daemon=True)
    thread.start()
    try:
        yield
    finally:
        listener.shutdown(socket.SHUT_RDWR)
        thread.join()
        listener.close()
        real.rename(path)


def _carry(client: socket.socket, real: Path, fate: str) -> None:
    asked = client.makefile("rb").readline()
    if not asked or fate == REQUEST_LOST:  # who only looks whether somebody listens asks nothing
        return
    if fate == TURNED_AWAY:
        client.sendall(json.dumps({"error": BUSY}).encode() + b"\n")
        return
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as daemon:
        daemon.connect(str(real))
        daemon.sendall(asked)
        answer = daemon.makefile("rb").readline()
    if fate == PASSED:
        client.sendall(answer)
