"""Letters by webhook, against a real web server; and the sign of life, which goes the same way."""

import json
import logging
import queue
import re
import runpy
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from http.client import HTTPConnection
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest

from daemon.errors import InputError
from daemon.outside.sign_of_life import SignOfLife
from daemon.post import http_request
from daemon.post.carrier import Deferred, LetterRefused, Unreachable, retry_at
from daemon.post.kept_address import address_of, alive_address
from daemon.post.secrets import ALIVE_URL
from daemon.post.station_carriers import make_carriers
from daemon.post.webhook import WebhookCarrier
from daemon.station import WebAddress
from daemon.workers import InlineWorkers
from tests.kit.checkout import DOCS
from tests.kit.command_line import PATIENCE_S
from tests.kit.mail_server import Papers, certify, free_port
from tests.kit.pages import fenced
from tests.kit.sample_letter import AT_S, ID, LISBON, letter, out, read
from tests.kit.station import post, station_text
from tests.kit.web_server import Hook, is_signed, web_server

SECRET = "forty-two brine shrimp in a jar"
NOW = AT_S + 90


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> Papers:
    return certify(tmp_path_factory.mktemp("papers"), "localhost")


@pytest.fixture
def hook() -> Iterator[Hook]:
    with web_server(Hook()) as serving:
        yield serving


def carrier(address: WebAddress, secret: str | None = SECRET, timeout_s: float = 10.0) -> WebhookCarrier:
    return WebhookCarrier(address, secret, "Room 12", LISBON, now_s=lambda: NOW, timeout_s=timeout_s)


def send(hook: Hook, number: int = 7) -> None:
    carrier(hook.address()).carry(out(number, "cold", letter(number=number)))


def test_a_letter_is_posted_as_json_with_all_that_it_says(hook: Hook) -> None:
    send(hook)
    (asked,) = hook.asked
    assert (asked.method, asked.path) == ("POST", "/letters?key=tell-nobody")
    told = json.loads(asked.body)
    assert told.pop("html").startswith("<p>The water is at 18.2 °C.</p>")
    assert told == {
        "station": "Room 12",
        "number": 7,
        "kind": "cold",
        "subject": "Tray A is cold: 18.2 °C",
        "at": "2027-02-19T17:00:00+00:00",
        "vessels": ["tray-a"],
        "message_id": ID,
        "text": "The water is at 18.2 °C.\n.\nSwitch the lamp on at its switch or timer.\n",
    }
    assert asked.headers["Content-Type"] == "application/json"
    assert asked.headers["Idempotency-Key"] == ID == read(letter())["Message-ID"]


def test_a_post_is_signed_over_its_address_its_moment_and_its_body(hook: Hook) -> None:
    send(hook)
    (asked,) = hook.asked
    assert f";created={NOW};" in asked.headers["Signature-Input"]
    assert is_signed(asked, f"http://localhost:{hook.port}{asked.path}", SECRET)
    assert not is_signed(asked, f"http://localhost:{hook.port}/elsewhere", SECRET)
    assert not is_signed(asked, f"http://localhost:{hook.port}{asked.path}", "another secret")


@pytest.mark.parametrize("status", [200, 201, 202, 204])
def test_2xx_means_taken(hook: Hook, status: int) -> None:
    hook.status = status
    send(hook)
    assert len(hook.asked) == 1


@pytest.mark.parametrize("status", [408, 429, 500, 502, 503, 504])
def test_408_429_and_5xx_make_the_letter_wait(hook: Hook, status: int) -> None:
    hook.status = status
    with pytest.raises(
        Unreachable, match=rf"letter 7 \(cold\): http://localhost:\d+: answered {status}$"
    ) as caught:
        send(hook)
    # What speaks of the service holds all letters in their order; what may speak of this one, it alone.
    assert isinstance(caught.value, Deferred) == (status in (408, 500))


@pytest.mark.parametrize("status", [400, 401, 403, 404, 410, 413, 422])
def test_any_other_4xx_ends_the_letter(hook: Hook, status: int) -> None:
    hook.status = status
    with pytest.raises(LetterRefused, match=f"answered {status}"):
        send(hook)


@pytest.mark.parametrize("status", [301, 302, 303, 307, 308])
def test_a_redirect_is_not_followed(hook: Hook, status: int) -> None:
    hook.status, hook.headers = status, {"Location": f"http://localhost:{hook.port}/elsewhere"}
    with pytest.raises(LetterRefused, match=f"answered {status}, a redirect, which is not followed"):
        send(hook)
    assert len(hook.asked) == 1


@pytest.mark.parametrize(
    ("told", "wait_s"),
    [
        ("120", 120),
        ("90000", 90_000),
        (time.strftime("%a, %d %b %Y %H:%M:%S GMT", time.gmtime(NOW + 600)), 600),
        ("Thu, 01 Jan 1970 00:00:00 GMT", 0),
        ("soon", 0),
        ("-5", 0),
    ],
)
def test_retry_after_is_heard_in_seconds_or_as_a_date(hook: Hook, told: str, wait_s: int) -> None:
    """RFC 9110, 10.2.3."""
    hook.status, hook.headers = 503, {"Retry-After": told}
    with pytest.raises(Unreachable) as caught:
        send(hook)
    assert caught.value.wait_s == wait_s


def test_retry_after_makes_the_pause_longer_up_to_an_hour_and_never_shorter() -> None:
    assert [retry_at(1, 0, wait_s) for wait_s in (0, 10, 600, 90_000)] == [60, 60, 600, 3600]


def test_a_letter_goes_encrypted_where_the_certificate_is_vouched_for(papers: Papers) -> None:
    with web_server(Hook(), papers) as hook:
        address = hook.address(encrypted=True)
        trusting = WebhookCarrier(address, SECRET, "Room 12", LISBON, timeout_s=10.0, context=papers.client)
        trusting.reach()
        trusting.carry(out(7, "cold", letter()))
        assert len(hook.asked) == 1
        for step in (carrier(address).reach, lambda: carrier(address).carry(out(7, "cold", letter()))):
            with pytest.raises(Unreachable, match=r"no encrypted line: .*CERTIFICATE_VERIFY_FAILED"):
                step()
        assert len(hook.asked) == 1


def test_a_certificate_for_another_host_is_refused(tmp_path: Path) -> None:
    other = certify(tmp_path, "elsewhere.example")
    with web_server(Hook(), other) as hook:
        address = hook.address(encrypted=True)
        trusting = WebhookCarrier(address, SECRET, "Room 12", LISBON, timeout_s=10.0, context=other.client)
        with pytest.raises(Unreachable, match="CERTIFICATE_VERIFY_FAILED"):
            trusting.carry(out(7, "cold", letter()))
        assert hook.asked == []


def test_without_encryption_nothing_leaves_the_machine() -> None:
    # 192.0.2.1 stands for any host elsewhere (RFC 5737)
    address = WebAddress(False, "192.0.2.1", 80, "/")
    with pytest.raises(Unreachable, match=r"is at 192\.0\.2\.1, but http without encryption never leaves"):
        carrier(address).carry(out(7, "cold", letter()))


def test_nothing_is_posted_unsigned(hook: Hook) -> None:
    with pytest.raises(Unreachable, match="no secret is kept"):
        carrier(hook.address(), None).carry(out(7, "cold", letter()))
    assert hook.asked == []


def test_nobody_at_the_port_makes_all_letters_wait() -> None:
    address = WebAddress(False, "localhost", free_port(), "/")
    for step in (carrier(address).reach, lambda: carrier(address).carry(out(7, "cold", letter()))):
        with pytest.raises(Unreachable, match="cannot be reached: Connection refused"):
            step()


def drip(handler: BaseHTTPRequestHandler) -> None:
    """A byte now and then, each before a step times out."""
    handler.wfile.write(b"HTTP/1.1 200 OK\r\n")
    for _ in range(2000):
        handler.wfile.write(b"x")
        time.sleep(0.02)


def hang_up(handler: BaseHTTPRequestHandler) -> None:
    handler.close_connection = True


def babble(handler: BaseHTTPRequestHandler) -> None:
    handler.wfile.write(b"what is this?\r\n\r\n")
    handler.close_connection = True


@pytest.mark.parametrize("behave", [drip, hang_up, babble])
def test_a_server_that_drips_hangs_up_or_babbles_makes_the_letter_wait(hook: Hook, behave: object) -> None:
    hook.behave = behave  # type: ignore[assignment]  # parametrize forgets the type
    with pytest.raises(Unreachable):
        carrier(hook.address(), timeout_s=0.1).carry(out(7, "cold", letter()))


def test_of_a_long_answer_only_the_beginning_is_read(hook: Hook) -> None:
    whole = 50_000_000  # more than both ends of a line keep for each other: a few megabytes
    went: queue.Queue[int] = queue.Queue()

    def answers_at_length(handler: BaseHTTPRequestHandler) -> None:
        handler.send_response(200)
        handler.send_header("Content-Length", str(whole))
        handler.end_headers()
        sent = 0
        with suppress(OSError):  # who hangs up breaks the line
            while sent < whole:
                sent += handler.wfile.write(b"x" * 50_000)
        went.put(sent)

    hook.behave = answers_at_length
    send(hook)
    assert went.get(timeout=PATIENCE_S) < whole


def test_neither_secret_nor_path_nor_the_servers_words_are_told(hook: Hook) -> None:
    def repeats(handler: BaseHTTPRequestHandler) -> None:
        handler.send_response(403, f"{SECRET} {handler.headers['Signature']}")
        handler.send_header("Content-Length", "0")
        handler.end_headers()

    hook.behave = repeats
    with pytest.raises(LetterRefused) as caught:
        send(hook)
    told = str(caught.value)
    assert SECRET not in told
    assert "tell-nobody" not in told
    assert hook.asked[0].headers["Signature"] not in told


def test_a_letter_marked_late_keeps_its_key(hook: Hook) -> None:
    from daemon.post.message import marked

    late = marked(letter(number=7), "Late: Tray A is cold", "Late: this letter was written on Friday.")
    carrier(hook.address()).carry(out(7, "cold", late))
    told = json.loads(hook.asked[0].body)
    assert told["subject"] == "Late: Tray A is cold"
    assert told["text"].startswith("Late: this letter was written on Friday.\n\nThe water is at 18.2 °C.")
    assert "<strong>Late: this letter" in told["html"]
    assert hook.asked[0].headers["Idempotency-Key"] == ID


# --- the receiver that the page gives ---------------------------------------------------------------------


@contextmanager
def receiver_of_the_page(
    folder: Path, monkeypatch: pytest.MonkeyPatch, address: WebAddress
) -> Iterator[WebAddress]:
    """The page's receiver for letters to `address`, serving on this machine; yields where."""
    (program,) = fenced(DOCS / "how-to" / "webhook.md", "python")
    (folder / "receiver.py").write_text(program, "utf-8")
    (folder / "secret").write_text(f"{SECRET}\n", "utf-8")
    told = f"http://localhost:{address.port}{address.path}"
    monkeypatch.setattr("sys.argv", ["receiver.py", str(folder / "secret"), "0", told])
    receiver = runpy.run_path(str(folder / "receiver.py"))["Receiver"]
    receiver.log_message = lambda *_words: None
    server = HTTPServer(("127.0.0.1", 0), receiver)
    thread = threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True)
    thread.start()
    try:
        yield WebAddress(False, "localhost", server.server_port, address.path)
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


CHANGED = {
    "the body": (None, b'{"number": 8}'),
    "the digest": ("Content-Digest", "sha-256=:RK/0qy18MlBSVnWgjwz6lZEWjP/lF5HF9bvEF8FabDg=:"),
    "the key": ("Idempotency-Key", "<other@school.example>"),
    "the type": ("Content-Type", "text/plain"),
    "the moment": ("Signature-Input", None),
    "the signature": ("Signature", "naupliad=:AAAA:"),
}


@pytest.mark.parametrize("what", CHANGED)
def test_the_pages_receiver_notices_a_change_on_the_way(
    hook: Hook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    name, value = CHANGED[what]
    station = WebhookCarrier(hook.address(), SECRET, "Room 12", LISBON, timeout_s=10.0)
    station.carry(out(7, "cold", letter(number=7)))
    (caught,) = hook.asked
    headers, body = dict(caught.headers), caught.body
    if isinstance(value, bytes):
        body = value
    elif name is not None:
        later = re.sub(r"created=(\d+)", lambda m: f"created={int(m[1]) + 1}", headers[name])
        headers[name] = later if value is None else value
    with receiver_of_the_page(tmp_path, monkeypatch, hook.address()) as receiver:
        assert sent_on(receiver, caught.headers, caught.body) == 204
        assert sent_on(receiver, headers, body) == 401


def sent_on(address: WebAddress, headers: dict[str, str], body: bytes) -> int:
    line = HTTPConnection(address.host, address.port, timeout=10.0)
    ours = {name: value for name, value in headers.items() if name not in ("Host", "Content-Length")}
    with closing(line):
        line.request("POST", address.path, body, ours)
        return line.getresponse().status


@pytest.mark.parametrize(
    ("address", "told"),
    [
        (WebAddress(True, "hooks.school.example", 443, "/a?b=c"), "https://hooks.school.example/a?b=c"),
        (WebAddress(True, "hooks.school.example", 8443, "/"), "https://hooks.school.example:8443/"),
        (WebAddress(False, "::1", 80, "/"), "http://[::1]/"),
        (WebAddress(False, "::1", 443, "/"), "http://[::1]:443/"),
    ],
)
def test_the_address_that_is_signed_names_a_port_only_where_it_is_not_the_schemes(
    address: WebAddress, told: str
) -> None:
    """RFC 9110, 4.2.3."""
    assert http_request.target_uri(address) == told


# --- which ways a station has -----------------------------------------------------------------------------

POST = "\n" + post(465)
WEBHOOK = '\n[webhook]\nurl = "https://hooks.school.example/letters"\n'


@pytest.mark.parametrize(
    ("tables", "ways"),
    [("", ["files"]), (POST, ["mail"]), (WEBHOOK, ["webhook"]), (POST + WEBHOOK, ["mail", "webhook"])],
)
def test_a_station_has_the_ways_its_file_tells(tmp_path: Path, tables: str, ways: list[str]) -> None:
    from daemon.config import parse_station

    station = parse_station(station_text() + tables, str(tmp_path / "station.toml"))
    assert list(make_carriers(station, tmp_path, {})) == ways


def test_the_webhooks_secret_comes_from_its_credential_or_its_file(tmp_path: Path, hook: Hook) -> None:
    from daemon.config import parse_station

    table = f'\n[webhook]\nurl = "http://localhost:{hook.port}/"\n'
    station = parse_station(station_text() + table, str(tmp_path / "station.toml"))
    (tmp_path / "webhook-secret").write_text(f"{SECRET}\n")
    for environ in (
        {"CREDENTIALS_DIRECTORY": str(tmp_path)},
        {"NAUPLIAD_WEBHOOK_SECRET_FILE": str(tmp_path / "webhook-secret")},
    ):
        make_carriers(station, tmp_path, environ)["webhook"].carry(out(1, "cold", letter()))
        assert is_signed(hook.asked[-1], f"http://localhost:{hook.port}/", SECRET)
    with pytest.raises(InputError, match="NAUPLIAD_WEBHOOK_SECRET_FILE"):
        make_carriers(station, tmp_path, {"NAUPLIAD_WEBHOOK_SECRET_FILE": str(tmp_path / "none")})


def test_without_an_address_letters_wait_and_no_sign_of_life_goes(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    from daemon.config import parse_station

    station = parse_station(station_text() + "\n[webhook]\n[alive]\n", str(tmp_path / "station.toml"))
    carrier = make_carriers(station, tmp_path, {})["webhook"]
    with pytest.raises(Unreachable, match=r"^letter 1 \(cold\): no address is kept to post letters to"):
        carrier.carry(out(1, "cold", letter()))
    with pytest.raises(Unreachable, match=r"^webhook: no address is kept"):
        carrier.reach()
    assert station.alive is not None
    assert alive_address(station.alive, {}) is None
    assert [record.message for record in caplog.records] == [
        "sign of life: none goes, for no address is kept to ask for (alive-url)"
    ]


@pytest.mark.parametrize("name", ["credential", "file"])
def test_an_address_kept_apart_takes_the_place_of_the_one_in_the_station_file(
    name: str, tmp_path: Path
) -> None:
    kept = tmp_path / "alive-url"
    kept.write_text("https://kept.school.example/a?b=c\n")
    environ = {
        "credential": {"CREDENTIALS_DIRECTORY": str(tmp_path)},
        "file": {"NAUPLIAD_ALIVE_URL_FILE": str(kept)},
    }[name]
    told = WebAddress(True, "told.school.example", 443, "/")
    assert address_of(told, ALIVE_URL, environ) == WebAddress(True, "kept.school.example", 443, "/a?b=c")
    kept.write_text("\n")  # what the unit hands over where none is kept
    if name == "credential":
        assert address_of(told, ALIVE_URL, environ) == told


# --- the sign of life -------------------------------------------------------------------------------------


class Time:
    """A monotonic clock that is set by hand."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


def test_a_sign_of_life_is_asked_for_empty_at_its_pace(hook: Hook) -> None:
    clock = Time()
    desk = SignOfLife(hook.address(), 900, InlineWorkers(), monotonic_s=clock, timeout_s=10.0)
    for minute in range(0, 61, 5):
        clock.now = minute * 60
        desk.after_beat(NOW + minute * 60)
    assert len(hook.asked) == 5
    assert {(a.method, a.path, a.body) for a in hook.asked} == {("GET", "/letters?key=tell-nobody", b"")}


def test_a_sign_of_life_that_fails_is_logged_once_until_it_is_over(
    hook: Hook, caplog: pytest.LogCaptureFixture
) -> None:
    clock = Time()
    desk = SignOfLife(hook.address(), 60, InlineWorkers(), monotonic_s=clock, timeout_s=10.0)
    with caplog.at_level(logging.INFO, "daemon.outside.sign_of_life"):
        for minute, status in enumerate([204, 500, 500, 302, 204, 204, 404]):
            clock.now, hook.status = minute * 60, status
            desk.after_beat(NOW)
    assert [message.split(": ", 1)[1] for message in caplog.messages] == [
        f"http://localhost:{hook.port}: answered 500",
        f"http://localhost:{hook.port} is reached again",
        f"http://localhost:{hook.port}: answered 404",
    ]


def test_nobody_at_the_sign_of_lifes_address_harms_nothing(caplog: pytest.LogCaptureFixture) -> None:
    desk = SignOfLife(WebAddress(False, "localhost", free_port(), "/key"), 60, InlineWorkers())
    desk.after_beat(NOW)
    assert "cannot be reached" in caplog.text
    assert "/key" not in caplog.text
