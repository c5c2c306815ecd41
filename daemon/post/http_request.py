"""One request by HTTP (RFC 9112): encrypted or on this machine, no redirects, a short answer."""

import http.client
import ssl
from collections.abc import Mapping
from contextlib import closing
from dataclasses import dataclass
from email.utils import parsedate_to_datetime

from daemon.post.carrier import Deferred, Unreachable
from daemon.post.network import cut_off_after, loopback_addresses, reaching
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

    `timeout_s` holds for every step; `now_s` is the moment a `Retry-After` date is counted from; `context`
    decides which certificates are trusted, those of the system when it is None.
    """
    with reaching(where):
        line = _opened(address, where, timeout_s, context)
        with closing(line), cut_off_after(_STEPS * timeout_s, lambda: line.sock) as was_cut:
            try:
                line.request(method, address.path, body, {**headers, "Connection": "close"})
                answer = line.getresponse()
                # One piece at most: a chunk may claim to be endless, or smaller than nothing.
                answer.read1(_READ_BYTES)
            except http.client.HTTPException as error:
                raise Unreachable(f"{where}: no answer that HTTP knows: {type(error).__name__}") from None
            if was_cut.is_set():
                raise Deferred(f"{where}: cut off in the middle of its answer, which took too long")
            return Answer(answer.status, _wait_s(answer.headers.get("Retry-After"), now_s))


def reach(address: WebAddress, *, where: str, timeout_s: float, context: ssl.SSLContext | None) -> None:
    """Open the line and close it. Raises Unreachable."""
    with reaching(where):
        _opened(address, where, timeout_s, context).close()


def _opened(
    address: WebAddress, where: str, timeout_s: float, context: ssl.SSLContext | None
) -> http.client.HTTPConnection:
    if address.encrypted:
        trusted = context or ssl.create_default_context()
        line: http.client.HTTPConnection = http.client.HTTPSConnection(
            address.host, address.port, timeout=timeout_s, context=trusted
        )
        line.connect()
        return line
    hosts = loopback_addresses(address.host, address.port, where, "http without encryption")
    for place, host in enumerate(hosts, start=1):
        line = http.client.HTTPConnection(host, address.port, timeout=timeout_s)
        try:
            line.connect()
        except OSError:
            if place == len(hosts):
                raise
        else:
            break
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
