"""The other ends of lines, as targets: a mail server, a web server and a broker that answer anything."""

import contextlib
import queue
import socket
import threading
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from functools import partial
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from daemon.outside.sign_of_life import SignOfLife
from daemon.post.carrier import Outgoing
from daemon.post.message import compose
from daemon.post.mqtt import RetainedTopics
from daemon.post.smtp import SmtpCarrier
from daemon.post.webhook import WebhookCarrier
from daemon.station import Broker, PostServer, WebAddress
from daemon.workers import Task, Then
from tests.kit.fuzz.spoiled import Target, spoiled, taken

UTC_ZONE = ZoneInfo("UTC")
NOON = int(datetime(2027, 2, 12, 12, tzinfo=UTC).timestamp())
# How long a server here waits for the next word before it hangs up, so that no talk in which each side waits
# for the other takes long, and how long the station waits: that is never waited out.
HANGS_UP_S = 0.1
PATIENCE_S = 5.0
PASSWORD = "swim-7-little shrimp"
LETTER = Outgoing(
    7,
    "cold",
    NOON,
    ("tray-a",),
    compose(
        kind="cold",
        subject="Tray A is cold",
        text="18.2 °C\n",
        html="<p>18.2 °C</p>",
        date_s=NOON,
        zone=UTC_ZONE,
        message_id="<7@school.example>",
        sender="cups@school.example",
        to=["teacher@school.example", "other@school.example"],
    ),
)
_CHUNKED = "HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n2;x=y\r\nok\r\n0\r\nA: b\r\n\r\n"
_ANSWERS = (
    "HTTP/1.1 200 OK\r\nContent-Length: 2\r\n\r\nok",
    "HTTP/1.1 204 No Content\r\n\r\n",
    "HTTP/1.1 503 Later\r\nRetry-After: 120\r\nContent-Length: 0\r\n\r\n",
    "HTTP/1.0 429 Later\r\nRetry-After: Fri, 12 Feb 2027 12:02:00 GMT\r\n\r\n",
    "HTTP/1.1 100 Continue\r\n\r\n" + _CHUNKED,
    "HTTP/1.1 302 Found\r\nLocation: http://127.0.0.1/\r\nSet-Cookie: a=b\r\n\r\n",
)
# A talk, a reply a step: greeting, EHLO, log-in (two), MAIL, RCPT (two), DATA, the letter, QUIT. The first of
# each agrees.
_REPLIES = (
    ("220 mail.school.example ESMTP\r\n",),
    (
        "250-mail.school.example\r\n250-SIZE 1000000\r\n250 AUTH CRAM-MD5 LOGIN PLAIN\r\n",
        "250 plain.example\r\n",
    ),
    ("334 PDEyMzRAbWFpbC5zY2hvb2wuZXhhbXBsZT4=\r\n", "334 VXNlcm5hbWU6\r\n", "535 5.7.8 no\r\n"),
    ("235 2.7.0 welcome\r\n", "334 UGFzc3dvcmQ6\r\n"),
    ("250 2.1.0 sender\r\n", "421 4.3.2 closing\r\n"),
    ("250 2.1.5 recipient\r\n", "550 5.1.1 nobody\r\n"),
    ("250-2.1.5 recipient\r\n250 2.1.5 all well\r\n", "451 4.7.1 later\r\n"),
    ("354 go on\r\n",),
    ("250 2.0.0 taken\r\n", "554 5.6.0 no\r\n"),
    ("221 2.0.0 goodbye\r\n",),
)
_CONNACK = b"\x20\x09\x00\x00\x06\x21\x00\x0a\x22\x00\x05"
_PACKETS = (
    _CONNACK,
    _CONNACK + b"\x40\x02\x00\x01",
    b"\x20\x03\x00\x87\x00",
    b"\xe0\x02\x8b\x00",
    b"\xd0\x00",
)


class Answering:
    """Takes one connection after the other on a port of this machine, and hands each to `attend`."""

    def __init__(self, attend: Callable[[socket.socket], None]) -> None:
        self._attend = attend
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._listener.getsockname()[1])
        threading.Thread(target=self._serve, daemon=True).start()

    def _serve(self) -> None:
        while True:
            line, _ = self._listener.accept()
            with contextlib.suppress(OSError), line:
                line.settimeout(HANGS_UP_S)
                self._attend(line)


@st.composite
def _talk(draw: st.DrawFn) -> list[bytes]:
    """A talk in which up to three replies are others, or spoiled."""
    talk = [step[0].encode() for step in _REPLIES]
    for place in draw(st.lists(st.integers(0, len(talk) - 1), max_size=3)):
        step = _REPLIES[place]
        talk[place] = draw(st.one_of(st.sampled_from([reply.encode() for reply in step]), spoiled(step)))
    return talk


def line_targets() -> list[Target]:
    """Those whose far end is a server; each has one of its own that lives as long as the process."""
    return [
        Target("webhook's answer", spoiled(_ANSWERS), _Web().meet),
        Target("sign of life's answer", spoiled(_ANSWERS), _Web(alive=True).meet, 0.5),
        Target("mail server's replies", _talk(), _Mail().meet, 0.3),
        Target("broker's packets", st.lists(spoiled(_PACKETS), min_size=1, max_size=3), _Mqtt().meet, 0.1),
    ]


class _Web:
    def __init__(self, *, alive: bool = False) -> None:
        self._answer = b""
        address = WebAddress(False, "127.0.0.1", Answering(self._attend).port, "/letters")
        self._send = partial(_sign, address) if alive else partial(_post, address)

    def meet(self, answer: bytes) -> bool:
        self._answer = answer
        return self._send()

    def _attend(self, line: socket.socket) -> None:
        with line.makefile("rb") as asked:
            head = b"".join(iter(asked.readline, b"\r\n")).lower()
            asked.read(int(head.partition(b"content-length: ")[2].partition(b"\r\n")[0] or 0))
        line.sendall(self._answer)


def _post(address: WebAddress) -> bool:
    carrier = WebhookCarrier(address, "secret", "Room 12", UTC_ZONE, now_s=lambda: NOON, timeout_s=PATIENCE_S)
    return taken(lambda: carrier.carry(LETTER))


def _sign(address: WebAddress) -> bool:
    desk = SignOfLife(address, 900, _Straight(), monotonic_s=lambda: 0.0, timeout_s=PATIENCE_S)
    return taken(lambda: desk.after_beat(NOON))


class _Straight:
    """A workers that does a task at once and lets through what it raises."""

    def submit(self, task: Task, then: Then, *, lane: str = "") -> None:
        then(task(), None)

    def settle(self) -> None:
        """Nothing is ever left."""

    def close(self, patience_s: float) -> None:
        """Nothing to wait for."""


class _Mail:
    def __init__(self) -> None:
        self._replies: Sequence[bytes] = ()
        port = Answering(self._attend).port
        server = PostServer(
            "127.0.0.1",
            port,
            "plain-on-loopback",
            "cups",
            "cups@school.example",
            ("teacher@school.example",),
            (),
        )
        self._carrier = SmtpCarrier(server, PASSWORD, PATIENCE_S)

    def meet(self, replies: list[bytes]) -> bool:
        self._replies = replies
        return taken(lambda: self._carrier.carry(LETTER), never_told=PASSWORD)

    def _attend(self, line: socket.socket) -> None:
        for reply in self._replies:
            line.sendall(reply)
            if not line.recv(65_536):
                return


class _Mqtt:
    """paho's thread meets the packets; it must live on and connect again."""

    def __init__(self) -> None:
        self._packets: queue.SimpleQueue[bytes] = queue.SimpleQueue()
        self._met = threading.Semaphore(0)
        self._port = Answering(self._attend).port
        self._topics: RetainedTopics | None = None

    def meet(self, packets: list[bytes]) -> bool:
        if self._topics is None:
            broker = Broker("127.0.0.1", self._port, "plain-on-loopback", None)
            self._topics = RetainedTopics(broker, None, "naupliad/room", retry_s=(0, 0))
        self._topics.publish({"water": '{"value": 21.0}'})
        for packet in packets:
            self._packets.put(packet)
            assert self._met.acquire(timeout=30.0), f"no new connection after {packet!r}"
        return True

    def _attend(self, line: socket.socket) -> None:
        packet = self._packets.get()
        try:
            line.recv(65_536)
            line.sendall(packet)
            line.shutdown(socket.SHUT_WR)
            line.recv(65_536)
        finally:
            self._met.release()
