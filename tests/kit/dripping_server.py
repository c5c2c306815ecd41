"""A server that never comes to an end: a byte now and then, each long before a step of the talk times out."""

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress

# A record of TLS 1.2 or 1.3 (RFC 8446, 5.1): handshake, version, and that 16383 bytes are to follow.
TLS_RECORD = b"\x16\x03\x03\x3f\xff"
_PAUSE_S = 0.02


@contextmanager
def dripping(*says: bytes) -> Iterator[int]:
    """Its port on 127.0.0.1. It `says` one after the other, each after something was said to it, and from the
    last on it drips."""
    over = threading.Event()
    with socket.create_server(("127.0.0.1", 0)) as listener:

        def serve() -> None:
            client, _ = listener.accept()
            with client, suppress(OSError):
                for place, words in enumerate(says):
                    if place:
                        client.recv(65536)
                    client.sendall(words)
                while not over.wait(_PAUSE_S):
                    client.sendall(b"x")

        thread = threading.Thread(target=serve, daemon=True)
        thread.start()
        try:
            yield int(listener.getsockname()[1])
        finally:
            over.set()
            thread.join(5.0)
