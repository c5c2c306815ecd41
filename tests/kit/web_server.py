"""A real web server for tests, that answers as it is told."""

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
