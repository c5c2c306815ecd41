"""A real web server for tests, that answers as it is told."""

import base64
import hashlib
import hmac
import re
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

from daemon.station import WebAddress
from tests.kit.mail_server import Papers


@dataclass(frozen=True)
class Asked:
    """A request as it came."""

    method: str
    path: str
    headers: dict[str, str]
    body: bytes


# A letter's signature covers no less than this (RFC 9421, 2.5), and says how and by which secret it was made.
_COVERED = ("@method", "@target-uri", "content-digest", "content-type", "idempotency-key")
_INPUT = re.compile(
    r"naupliad=(\(" + " ".join(f'"{name}"' for name in _COVERED) + r'\);created=\d+;keyid="webhook-secret"'
    r';alg="hmac-sha256")'
)


def is_signed(asked: Asked, address: str, secret: str) -> bool:
    """Whether a letter was signed for this address: worked out with the library's HMAC (RFC 2104) only."""
    found = _INPUT.fullmatch(asked.headers["Signature-Input"])
    digest = base64.b64encode(hashlib.sha256(asked.body).digest()).decode()
    if not found or asked.headers["Content-Digest"] != f"sha-256=:{digest}:":
        return False
    fields = {name.lower(): value for name, value in asked.headers.items()}
    values = {"@method": asked.method, "@target-uri": address, **fields, "@signature-params": found[1]}
    base = "\n".join(f'"{name}": {values[name]}' for name in (*_COVERED, "@signature-params"))
    right = base64.b64encode(hmac.new(secret.encode(), base.encode(), hashlib.sha256).digest()).decode()
    return asked.headers["Signature"] == f"naupliad=:{right}:"


@dataclass
class Hook:
    """The server's side: what it was asked, and what it answers."""

    status: int = 204
    headers: dict[str, str] = field(default_factory=dict)
    body: bytes = b""
    asked: list[Asked] = field(default_factory=list)
    behave: Callable[[BaseHTTPRequestHandler], None] | None = None
    port: int = 0

    def address(self, *, encrypted: bool = False, path: str = "/letters?key=tell-nobody") -> WebAddress:
        return WebAddress(encrypted, "localhost", self.port, path)


@contextmanager
def web_server(hook: Hook, papers: Papers | None = None) -> Iterator[Hook]:
    """Serves until the block ends; with papers, encrypted."""

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def answer(self) -> None:
            body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
            hook.asked.append(Asked(self.command, self.path, dict(self.headers.items()), body))
            if hook.behave is not None:
                hook.behave(self)
                return
            self.send_response(hook.status)
            for name, value in hook.headers.items():
                self.send_header(name, value)
            if hook.status != 204:
                self.send_header("Content-Length", str(len(hook.body)))
            self.end_headers()
            self.wfile.write(hook.body)

        do_POST = do_GET = answer  # noqa: N815 - the library finds them by these names

        def log_message(self, *_words: Any) -> None:
            """Say nothing."""

    class Quiet(ThreadingHTTPServer):
        daemon_threads = True

        def handle_error(self, *_of: Any) -> None:
            """A client that leaves is part of the tests."""

    server = Quiet(("127.0.0.1", 0), Handler)
    if papers is not None:
        server.socket = papers.server.wrap_socket(
            server.socket, server_side=True, do_handshake_on_connect=False
        )
    hook.port = server.server_port
    thread = threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True)
    thread.start()
    try:
        yield hook
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
