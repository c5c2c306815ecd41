"""One request by HTTP (RFC 9112): encrypted or on this machine, no redirects, a short answer."""

import http.client
import io
import socket
import ssl
from collections.abc import Mapping
from contextlib import closing, suppress
from dataclasses import dataclass
from email.utils import parsedate_to_datetime
from typing import cast

from daemon.post.carrier import Deferred, Unreachable
from daemon.post.network import Deadline, loopback_addresses, reaching
from daemon.station import WebAddress

_READ_BYTES = 4096
# A whole request may take as long as this many steps that just do not time out.
_STEPS = 4


@dataclass(frozen=True, slots=True)
class Answer:
    """What came back. `wait_s` is what `Retry-After` asks for, 0 where it asks for nothing."""

    status: int
    wait_s: int


def shown(address: WebAddress) -> str:
    """The address for messages: without its path, which may hold what only its owner should know."""
    return f"{'https' if address.encrypted else 'http'}://{_name(address)}:{address.port}"


def target_uri(address: WebAddress) -> str:
    """The whole address, as RFC 9110, 4.2.3 writes it: a port only where it is not the scheme's own."""
    encrypted = address.encrypted
    scheme, own = ("https", http.client.HTTPS_PORT) if encrypted else ("http", http.client.HTTP_PORT)
    port = "" if address.port == own else f":{address.port}"
    return f"{scheme}://{_name(address)}{port}{address.path}"


def request(
    address: WebAddress,
    method: str,
    body: bytes | None,
    headers: Mapping[str, str],
    *,
    where: str,
    now_s: int,
    timeout_s: float,
    context: ssl.SSLContext | None,
) -> Answer:
    """Send it and read the answer's head, and its body's beginning. Raises Unreachable, led by `where`.

    `timeout_s` holds for every step, four times as much for all of it; `now_s` is the moment a `Retry-After`
    date is counted from; `context` decides which certificates are trusted, those of the system when it is
    None.
    """
    with (
        closing(Deadline(_STEPS * timeout_s)) as deadline,
        reaching(where, deadline),
        closing(_opened(address, where, deadline, timeout_s, context)) as line,
    ):
        try:
            line.request(method, address.path, body, {**headers, "Connection": "close"})
            answer = line.getresponse()
            # One piece at most: a chunk may claim to be endless, or smaller than nothing.
            answer.read1(_READ_BYTES)
        except http.client.HTTPException as error:
            if not deadline.passed:
                fault = f"no answer that HTTP knows: {type(error).__name__}"
                raise Unreachable(f"{where}: {fault}") from None
        if deadline.passed:
            raise Deferred(f"{where}: cut off in the middle of its answer, which took too long")
        return Answer(answer.status, _wait_s(answer.headers.get("Retry-After"), now_s))


def reach(address: WebAddress, *, where: str, timeout_s: float, context: ssl.SSLContext | None) -> None:
    """Open the line and close it. Raises Unreachable."""
    with closing(Deadline(_STEPS * timeout_s)) as deadline, reaching(where, deadline):
        _opened(address, where, deadline, timeout_s, context).close()


def _opened(
    address: WebAddress, where: str, deadline: Deadline, step_s: float, context: ssl.SSLContext | None
) -> http.client.HTTPConnection:
    line: http.client.HTTPConnection
    if address.encrypted:
        trusted = context or ssl.create_default_context()
        plain = deadline.connect(address.host, address.port, step_s)
        line = http.client.HTTPSConnection(address.host, address.port, context=trusted)
        line.sock = trusted.wrap_socket(plain, server_hostname=address.host)
    else:
        host, plain = _on_this_machine(address, where, deadline, step_s)
        line = http.client.HTTPConnection(host, address.port)
        line.sock = plain
    line.response_class = _WholeHead
    return line


def _on_this_machine(
    address: WebAddress, where: str, deadline: Deadline, step_s: float
) -> tuple[str, socket.socket]:
    hosts = loopback_addresses(address.host, address.port, where, "http without encryption")
    for host in hosts[:-1]:
        with suppress(OSError):
            return host, deadline.connect(host, address.port, step_s)
    return hosts[-1], deadline.connect(hosts[-1], address.port, step_s)


class _WholeHead(http.client.HTTPResponse):
    """An answer whose head ends as HTTP says. The library takes one that breaks off, even `HTTP/1.1 200`."""

    def begin(self) -> None:
        """As the library calls it. Raises HTTPException for a head that is not whole."""
        file = self.fp
        self.fp = cast("io.BufferedReader", _WholeLines(file))
        try:
            super().begin()
        finally:
            if self.fp:  # else the library closed it
                self.fp = file


class _WholeLines:
    """What is read of a head, line by whole line."""

    def __init__(self, file: io.BufferedReader) -> None:
        self._file = file
        self.close = file.close

    def readline(self, most: int) -> bytes:
        """A line, or its first `most` bytes. Raises IncompleteRead where it ends before its end of line."""
        line = self._file.readline(most)
        if len(line) < most and not line.endswith(b"\n"):
            raise http.client.IncompleteRead(line)
        return line


def _name(address: WebAddress) -> str:
    return f"[{address.host}]" if ":" in address.host else address.host


def _wait_s(retry_after: str | None, now_s: int) -> int:
    """`Retry-After` in seconds or as a date (RFC 9110, 10.2.3); what cannot be read asks for nothing."""
    if retry_after is None:
        return 0
    seconds = retry_after.strip()
    if seconds.isascii() and seconds.isdigit():
        return int(seconds[:9])
    try:
        return max(0, int(parsedate_to_datetime(retry_after).timestamp()) - now_s)
    except (ValueError, OverflowError):
        return 0
