"""The page as a process, asked in ways that no browser asks: refused at once, and the next one is served."""

import re
import socket
import subprocess
from collections.abc import Iterator
from contextlib import suppress

import pytest

from daemon.page.guard.pin import Cost, page_folder, set_pin
from tests.kit.command_line import begin, ended

FORM = "Content-Type: application/x-www-form-urlencoded"
POST = f"POST /pin HTTP/1.1\nHost: 127.0.0.1\nConnection: close\n{FORM}"
CHUNK = b"2000\r\n" + b"x" * 0x2000 + b"\r\n"


@pytest.fixture(scope="module")
def port(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    state = tmp_path_factory.mktemp("hostile") / "naupliad"
    set_pin(page_folder(state), "735164", Cost(2, 8, 1))
    process: subprocess.Popen[str] = begin("page", "--state", state, "--port", "0", folder=state.parent)
    assert process.stdout is not None
    said = re.fullmatch(r"The page is at http://127\.0\.0\.1:(\d+)\n", process.stdout.readline())
    assert said is not None
    try:
        yield int(said[1])
    finally:
        process.terminate()
        assert ended(process).err == ""


def answer(port: int, head: str, body: bytes = b"") -> str:
    """What comes back, up to the end of the line or of the first 64 kB."""
    came = b""
    with socket.create_connection(("127.0.0.1", port), timeout=60) as asked:
        with suppress(OSError):  # turned away while still speaking
            asked.sendall(head.replace("\n", "\r\n").encode("latin-1") + b"\r\n\r\n" + body)
        with suppress(ConnectionResetError):
            while len(came) < 65_536 and (piece := asked.recv(65_536)):
                came += piece
    return came.decode("utf-8", "replace")


def own(port: int, *lines: str, ask: str = "GET /pin HTTP/1.1") -> str:
    return "\n".join((ask, f"Host: 127.0.0.1:{port}", "Connection: close", *lines))


@pytest.mark.parametrize(
    ("head", "body", "status"),
    [
        ("GET / HTTP/1.0", b"", 400),
        ("GET / HTTP/1.1\nHost: evil.example\nConnection: close", b"", 400),
        ("GET / HTTP/1.1\nHost: 127.0.0.1\nHost: evil.example\nConnection: close", b"", 400),
        ("GET http://127.0.0.1/ HTTP/1.1\nHost: evil.example\nConnection: close", b"", 400),
        ("GET / HTTP/1.1\nHost: [::1\nConnection: close", b"", 400),
        ("GET / HTTP/1.1\nHost: 127.0.0.1\nConnection: close\nX: " + "x" * 20_000, b"", 431),
        ("GET /" + "x" * 20_000 + " HTTP/1.1\nHost: 127.0.0.1\nConnection: close", b"", 431),
        (
            f"{POST}\nContent-Length: 999999999",
            b"",
            413,
        ),
        (
            f"{POST}\nTransfer-Encoding: chunked",
            CHUNK * 64,
            413,
        ),
        (
            f"{POST}\nContent-Length: 4\nTransfer-Encoding: chunked",
            b"0\r\n\r\nGET / HTTP/1.1\r\nHost: evil.example\r\n\r\n",
            403,
        ),
        (f"{POST}\nContent-Length: -1", b"", 400),
        ("TRACE / HTTP/1.1\nHost: 127.0.0.1\nConnection: close", b"", 405),
        ("PRI * HTTP/2.0", b"SM\r\n\r\n", 400),
        ("\x16\x03\x01\x02\x00\x01\x00", b"", 400),  # a browser that wants TLS
    ],
)
def test_what_no_browser_asks_is_refused_and_the_page_goes_on(
    port: int, head: str, body: bytes, status: int
) -> None:
    came = answer(port, head, body)
    assert re.match(rf"HTTP/1\.[01] {status} ", came), came[:200]
    assert len(re.findall(r"^HTTP/1\.", came, re.MULTILINE)) == 1  # nothing is smuggled behind it
    assert not re.search(r"^Server:", came, re.MULTILINE | re.IGNORECASE)
    assert "Traceback" not in came
    assert " 200 " in answer(port, own(port)).partition("\n")[0]


def test_whoever_says_that_he_comes_from_elsewhere_is_still_who_he_is(port: int) -> None:
    """No header tells where a request comes from: else a pupil would be a new visitor at every try."""
    form = b"pin=802943"
    lines = (f"Origin: http://127.0.0.1:{port}", FORM, f"Content-Length: {len(form)}")
    codes = []
    for number in range(4):
        spoofed = (
            f"X-Forwarded-For: 10.0.0.{number}\nForwarded: for=10.0.0.{number}\nRemote-Addr: 10.0.0.{number}"
        )
        codes.append(answer(port, own(port, *lines, spoofed, ask="POST /pin HTTP/1.1"), form).split()[1])
    assert codes == ["403", "429", "429", "429"]
