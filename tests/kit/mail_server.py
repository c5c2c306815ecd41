"""A real SMTP server for tests, with the certificate it shows."""

import asyncio
import shutil
import socket
import ssl
import subprocess
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult, Envelope, LoginPassword, Session

from daemon.station import PostServer

SECRET = "swim-7-little shrimp"
Start = Callable[..., PostServer]


@dataclass
class Desk:
    """The server's side: what it was given, and what it answers where it shall not agree."""

    replies: dict[str, str] = field(default_factory=dict)
    hang_up: bool = False
    puts_off: int = 0
    drops_once_taken: int = 0
    go_on: threading.Event | None = None
    stalled: threading.Event = field(default_factory=threading.Event)
    taken: list[tuple[str, list[str], bytes]] = field(default_factory=list)
    logins: list[tuple[str, str]] = field(default_factory=list)

    async def handle_MAIL(  # noqa: N802  # aiosmtpd finds its hooks by these names
        self, _server: Any, _session: Session, envelope: Envelope, address: str, _options: list[str]
    ) -> str:
        if "MAIL" in self.replies:
            return self.replies["MAIL"]
        envelope.mail_from = address
        return "250 OK"

    async def handle_RCPT(  # noqa: N802  # as above
        self, _server: Any, _session: Session, envelope: Envelope, address: str, _options: list[str]
    ) -> str:
        if address in self.replies:
            return self.replies[address]
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: Any, _: Session, envelope: Envelope) -> str:  # noqa: N802  # as above
        if self.go_on is not None:
            self.stalled.set()
            await asyncio.to_thread(self.go_on.wait)
        if self.drops_once_taken:
            self.drops_once_taken -= 1
            self.taken.append((envelope.mail_from or "", list(envelope.rcpt_tos), _bytes(envelope)))
            server.transport.abort()
        elif self.hang_up:
            server.transport.abort()
        elif self.puts_off:
            self.puts_off -= 1
            return "451 4.7.1 greylisted, come back later"
        elif "DATA" not in self.replies:
            assert isinstance(envelope.original_content, bytes)
            assert envelope.mail_from is not None
            self.taken.append((envelope.mail_from, list(envelope.rcpt_tos), envelope.original_content))
        return self.replies.get("DATA", "250 OK")

    def check(self, _server: Any, _session: Any, _envelope: Any, _how: str, told: Any) -> AuthResult:
        assert isinstance(told, LoginPassword)
        self.logins.append((told.login.decode(), told.password.decode()))
        return AuthResult(success=told.password.decode() == SECRET, handled=False)


def _bytes(envelope: Envelope) -> bytes:
    assert isinstance(envelope.original_content, bytes)
    return envelope.original_content


@dataclass(frozen=True)
class Papers:
    """A certificate for `localhost`: of the server, of a client that trusts it, and its file."""

    server: ssl.SSLContext
    client: ssl.SSLContext
    file: Path


def certify(folder: Path, name: str, *, days: int = 2) -> Papers:
    """A certificate for a name that is good for so many days; for fewer than none, it has expired."""
    key, request, cert = (folder / f"{name}.{ending}" for ending in ("key", "csr", "crt"))
    _openssl(
        f"req -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -nodes -subj /CN={name} "
        f"-addext subjectAltName=DNS:{name} -keyout {key} -out {request}"
    )
    _openssl(f"x509 -req -in {request} -signkey {key} -days {days} -copy_extensions copy -out {cert}")
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(cert, key)
    return Papers(server, ssl.create_default_context(cafile=str(cert)), cert)


def _openssl(words: str) -> None:
    openssl = shutil.which("openssl")
    if openssl is None:
        pytest.skip("no openssl here to make a certificate with")
    subprocess.run([openssl, *words.split()], check=True, capture_output=True)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def mail_servers() -> Iterator[Start]:
    """Gives a function that starts servers and says how to reach them; all are stopped at the end."""
    running: list[Controller] = []

    def started(desk: Desk, security: str, port: int | None = None, **how: Any) -> PostServer:
        port = port or free_port()
        server = Controller(desk, hostname="127.0.0.1", port=port, authenticator=desk.check, **how)
        server.start()
        running.append(server)
        to = ("teacher@school.example",)
        return PostServer("localhost", port, security, None, "cups@school.example", to, ())

    yield started
    for server in running:
        server.stop()
