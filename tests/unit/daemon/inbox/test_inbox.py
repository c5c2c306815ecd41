"""The inbox on real sockets: several clients, rubbish, long paths, daemons that died or do not answer."""

import json
import os
import pwd
import socket
import stat
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from daemon.errors import InputError, NaupliadError
from daemon.inbox.asking import ask
from daemon.inbox.line import LINE_BYTES
from daemon.inbox.listening import Inbox, Request
from tests.kit.command_line import until

PATIENCE_S = 20.0  # only ever waited out when a test fails


class Daemon:
    """The beat's side: takes requests as they come."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.wake = threading.Event()
        self.inbox = Inbox(path, self.wake)

    def take(self) -> list[Request]:
        assert self.wake.wait(PATIENCE_S)
        self.wake.clear()
        return self.inbox.requests()


@pytest.fixture
def daemon(tmp_path: Path) -> Iterator[Daemon]:
    made = Daemon(tmp_path / "inbox.socket")
    yield made
    made.inbox.close()


Asked = Future[dict[str, Any] | None]
Asking = Callable[[Path, dict[str, Any]], Asked]


@pytest.fixture
def asking() -> Iterator[Asking]:
    """Asks beside the test, as another process would."""
    with ThreadPoolExecutor(4) as clients:
        yield lambda path, words: clients.submit(ask, path, words, PATIENCE_S)


def connect(daemon: Daemon) -> socket.socket:
    client = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
    client.settimeout(PATIENCE_S)
    client.connect(str(daemon.path))
    return client


def test_what_is_asked_reaches_the_beat_and_the_answer_comes_back(daemon: Daemon, asking: Asking) -> None:
    asked = asking(daemon.path, {"deed": "top-up", "amount": 30.5, "vessel": "Becher ü"})
    (request,) = daemon.take()
    assert request.words == {"deed": "top-up", "amount": 30.5, "vessel": "Becher ü"}
    request.answer({"id": 7, "said": "nachgefüllt"})
    assert asked.result() == {"id": 7, "said": "nachgefüllt"}
    assert daemon.inbox.requests() == []


def test_a_request_bears_the_login_name_the_kernel_knows_whatever_its_words_say(
    daemon: Daemon, asking: Asking
) -> None:
    asked = asking(daemon.path, {"ask": "shelve", "by": "somebody else"})
    (request,) = daemon.take()
    assert request.by == pwd.getpwuid(os.getuid()).pw_name
    request.answer({})
    asked.result()


def test_two_clients_each_get_their_own_answer_whatever_the_order(daemon: Daemon, asking: Asking) -> None:
    first, second = asking(daemon.path, {"n": 1}), asking(daemon.path, {"n": 2})
    came: list[Request] = []
    while len(came) < 2:
        came += daemon.take()
    for request in sorted(came, key=lambda request: -request.words["n"]):
        request.answer({"n": request.words["n"] * 10})
    assert (first.result(), second.result()) == ({"n": 10}, {"n": 20})


def test_one_client_may_ask_twice_on_its_line(daemon: Daemon) -> None:
    with connect(daemon) as client, client.makefile("rb") as answers:
        client.sendall(b'{"n": 1}\n{"n": 2}\n')
        for number in (1, 2):
            (request,) = daemon.take()
            request.answer(request.words)
            assert json.loads(answers.readline()) == {"n": number}


def test_silent_clients_do_not_keep_another_waiting(daemon: Daemon, asking: Asking) -> None:
    with connect(daemon), connect(daemon) as half:
        half.sendall(b'{"never": "end')
        asked = asking(daemon.path, {"n": 1})
        (request,) = daemon.take()
        request.answer({"done": True})
        assert asked.result() == {"done": True}


def test_who_comes_when_all_places_are_taken_is_told_so(daemon: Daemon) -> None:
    seated = [connect(daemon) for _ in range(16)]
    try:
        assert ask(daemon.path, {"n": 1}, PATIENCE_S) == {
            "error": "inbox: 16 clients are here already; try again later"
        }
    finally:
        for client in seated:
            client.close()


@pytest.mark.parametrize("drip", [b"x", b"[1]\n"], ids=["one line for ever", "lines for ever"])
def test_clients_that_drip_give_up_their_places(tmp_path: Path, drip: bytes) -> None:
    """A byte, or a line that the beat never hears of, long before a silent client's time would be up."""
    inbox = Inbox(tmp_path / "inbox.socket", threading.Event(), line_s=0.5)
    over = threading.Event()
    with ThreadPoolExecutor(1) as beside, ExitStack() as seats:
        seated = [seats.enter_context(socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)) for _ in range(16)]
        for client in seated:
            client.connect(str(tmp_path / "inbox.socket"))
            client.settimeout(0.001)

        def drips() -> None:
            while not over.wait(0.02):
                for client in seated:
                    with suppress(OSError):  # its place was given up
                        client.sendall(drip)
                        client.recv(65536)  # who reads no answers is left for that

        beside.submit(drips)
        try:
            until("there is a place", lambda: "clients are here" not in refusal(tmp_path / "inbox.socket"))
        finally:
            over.set()
    inbox.close()


def refusal(path: Path) -> str:
    """What the inbox says to a line that is no request."""
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as client:
        client.settimeout(PATIENCE_S)
        client.connect(str(path))
        with suppress(BrokenPipeError):  # turned away before it spoke
            client.sendall(b"what?\n")
        return client.recv(1000).decode()


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        (b"feed the shrimp\n", "found b'feed the shrimp\\n'; allowed is one JSON object a line, in UTF-8"),
        (b"[1, 2]\n", "found a JSON list; allowed is one JSON object a line"),
        (b"\n", "found b'\\n'; allowed"),
        (b'{"amount": NaN}\n', "allowed is one JSON object"),
        (b'{"text": "\\ud800"}\n', "allowed is one JSON object"),
        (b'{"text": "\xff"}\n', "allowed is one JSON object"),
        (b"[" * 60_000 + b"\n", "allowed is one JSON object"),
        (b'{"n": ' + b"9" * 60_000 + b"}\n", "allowed is one JSON object"),
    ],
)
def test_rubbish_gets_one_clear_line_and_the_next_request_is_heard(
    daemon: Daemon, line: bytes, fault: str
) -> None:
    with connect(daemon) as client, client.makefile("rb") as answers:
        client.sendall(line)
        answer = json.loads(answers.readline())
        assert list(answer) == ["error"]
        assert answer["error"].startswith("inbox: ")
        assert fault in answer["error"]
        assert len(answer["error"]) < 200
        client.sendall(b'{"n": 1}\n')
        (request,) = daemon.take()
        request.answer({"done": True})
        assert json.loads(answers.readline()) == {"done": True}


def test_a_line_without_end_is_told_its_limit_and_hung_up(daemon: Daemon) -> None:
    with connect(daemon) as client, client.makefile("rb") as answers:
        client.settimeout(5.0)  # shorter than a silent client is borne with
        client.sendall(b"x" * (LINE_BYTES + 1))
        assert json.loads(answers.readline()) == {
            "error": "inbox: found a line of over 65536 bytes; allowed are 65536"
        }
        assert answers.readline() == b""


def test_a_line_of_just_the_limit_is_taken(daemon: Daemon) -> None:
    with connect(daemon) as client, client.makefile("rb") as answers:
        client.sendall(b'{"text": "' + b"x" * (LINE_BYTES - 13) + b'"}\n')
        (request,) = daemon.take()
        assert len(request.words["text"]) == LINE_BYTES - 13
        request.answer({})
        assert json.loads(answers.readline()) == {}


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(rubbish=st.binary(min_size=1, max_size=300))
def test_any_bytes_get_an_answer_a_line_and_harm_nobody(daemon: Daemon, rubbish: bytes) -> None:
    with connect(daemon) as client, client.makefile("rb") as answers:
        client.sendall(rubbish)
        client.shutdown(socket.SHUT_WR)
        came = answers.read()  # ends: bytes that happen to be a JSON object are next to impossible here
    lines = rubbish.count(b"\n") + (not rubbish.endswith(b"\n"))
    assert [list(json.loads(line)) for line in came.splitlines()] == [["error"]] * lines
    assert daemon.inbox.requests() == []


def test_a_client_that_hangs_up_before_its_turn_has_withdrawn_its_request(daemon: Daemon) -> None:
    with pytest.raises(
        NaupliadError, match=r"no answer in 0\.05 s; before asking again, look if it was done"
    ):
        ask(daemon.path, {"deed": "top-up"}, 0.05)
    assert daemon.take() == []


def test_a_client_that_only_stops_speaking_still_wants_its_answer(daemon: Daemon) -> None:
    with connect(daemon) as client, client.makefile("rb") as answers:
        client.sendall(b'{"n": 1}\n')
        client.shutdown(socket.SHUT_WR)
        (request,) = daemon.take()
        request.answer({"n": 2})
        assert json.loads(answers.readline()) == {"n": 2}


def test_answering_a_client_that_has_gone_does_no_harm(daemon: Daemon, asking: Asking) -> None:
    with connect(daemon) as client:
        client.sendall(b'{"n": 1}\n')
        (request,) = daemon.take()
    request.answer({"done": True})
    asked = asking(daemon.path, {"n": 2})
    (request,) = daemon.take()
    request.answer({"done": True})
    assert asked.result() == {"done": True}


def test_an_answer_that_is_no_json_fails_where_it_is_given(daemon: Daemon, asking: Asking) -> None:
    asked = asking(daemon.path, {"n": 1})
    (request,) = daemon.take()
    with pytest.raises(TypeError):
        request.answer({"when": object()})
    with pytest.raises(ValueError, match="JSON"):
        request.answer({"ml": float("nan")})
    request.answer({"ml": 3})
    assert asked.result() == {"ml": 3}


def test_an_answer_may_be_longer_than_a_request(daemon: Daemon, asking: Asking) -> None:
    asked = asking(daemon.path, {"n": 1})
    (request,) = daemon.take()
    request.answer({"text": "ü" * 400_000})
    assert asked.result() == {"text": "ü" * 400_000}


def test_where_nobody_listens_there_is_no_answer(tmp_path: Path) -> None:
    assert ask(tmp_path / "none.socket", {"n": 1}) is None
    assert ask(tmp_path / "no" / "folder" / "none.socket", {"n": 1}) is None
    assert ask(tmp_path / ("long" * 30) / "none.socket", {"n": 1}) is None
    leave_a_socket(tmp_path / "dead.socket")
    assert ask(tmp_path / "dead.socket", {"n": 1}) is None


def test_too_many_words_are_refused_before_they_are_sent(daemon: Daemon) -> None:
    with pytest.raises(InputError, match=r"found 70\d+ bytes to ask with; allowed are 65536"):
        ask(daemon.path, {"text": "x" * 70_000})


def leave_a_socket(path: Path) -> None:
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as dead:
        dead.bind(str(path))


def test_a_socket_left_by_a_dead_daemon_is_replaced(tmp_path: Path, asking: Asking) -> None:
    leave_a_socket(tmp_path / "inbox.socket")
    daemon = Daemon(tmp_path / "inbox.socket")
    asked = asking(daemon.path, {"n": 1})
    (request,) = daemon.take()
    request.answer({"n": 2})
    assert asked.result() == {"n": 2}
    daemon.inbox.close()


def test_a_second_daemon_is_refused_and_the_first_goes_on(daemon: Daemon, asking: Asking) -> None:
    with pytest.raises(NaupliadError, match=r"inbox\.socket: another daemon listens there"):
        Inbox(daemon.path, threading.Event())
    asked = asking(daemon.path, {"n": 1})
    (request,) = daemon.take()
    request.answer({"n": 2})
    assert asked.result() == {"n": 2}


def test_a_file_in_the_sockets_place_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "inbox.socket").write_text("my notes")
    with pytest.raises(NaupliadError, match=r"inbox\.socket: found a file that is no socket"):
        Inbox(tmp_path / "inbox.socket", threading.Event())
    assert (tmp_path / "inbox.socket").read_text() == "my notes"


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(NaupliadError, match="the inbox cannot be opened: No such file or directory"):
        Inbox(tmp_path / "missing" / "inbox.socket", threading.Event())


@pytest.mark.parametrize("umask", [0o000, 0o077])
def test_owner_and_group_may_ask_and_nobody_else_whatever_the_umask(tmp_path: Path, umask: int) -> None:
    before = os.umask(umask)
    try:
        inbox = Inbox(tmp_path / "inbox.socket", threading.Event())
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "inbox.socket").stat().st_mode) == 0o660
    inbox.close()


def test_there_is_no_moment_when_others_may_ask(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[int] = []
    monkeypatch.setattr(Path, "chmod", lambda path, _: seen.append(stat.S_IMODE(path.stat().st_mode)))
    before = os.umask(0)
    try:
        inbox = Inbox(tmp_path / "inbox.socket", threading.Event())
    finally:
        os.umask(before)
    inbox.close()
    assert seen == [0o660]


def test_a_path_longer_than_a_socket_address_serves_all_the_same(tmp_path: Path, asking: Asking) -> None:
    folder = tmp_path / ("long" * 30) / ("longer" * 20)
    folder.mkdir(parents=True)
    leave_a_socket(tmp_path / "dead")
    (tmp_path / "dead").rename(folder / "inbox.socket")
    daemon = Daemon(folder / "inbox.socket")
    asked = asking(daemon.path, {"n": 1})
    (request,) = daemon.take()
    request.answer({"n": 2})
    assert asked.result() == {"n": 2}
    daemon.inbox.close()
    assert list(folder.iterdir()) == []


def test_a_name_longer_than_a_socket_address_is_told(tmp_path: Path) -> None:
    path = tmp_path / ("n" * 110)
    with pytest.raises(InputError, match="the last part of the path is too long for a socket's name"):
        Inbox(path, threading.Event())
    with pytest.raises(InputError, match="the last part of the path is too long for a socket's name"):
        ask(path, {"n": 1})


def test_a_socket_that_cannot_be_removed_does_not_keep_the_inbox_from_closing(tmp_path: Path) -> None:
    """As on a card that turned read-only; here the folder is one in which this user may change nothing."""
    inbox = Inbox(tmp_path / "inbox.sock", threading.Event())
    tmp_path.chmod(0o555)
    if root := os.geteuid() == 0:
        os.seteuid(65534)  # Debian's account that owns nothing: root may always
    try:
        inbox.close()
    finally:
        if root:
            os.seteuid(0)
        tmp_path.chmod(0o755)
    assert (tmp_path / "inbox.sock").is_socket()


def test_closing_tells_who_waits_and_removes_the_socket(daemon: Daemon, asking: Asking) -> None:
    asked = asking(daemon.path, {"n": 1})
    assert daemon.wake.wait(PATIENCE_S)
    daemon.inbox.close()
    assert asked.result() == {"error": "inbox: the daemon is ending; nothing was done"}
    assert not daemon.path.exists()
    assert ask(daemon.path, {"n": 2}) is None


def test_a_request_that_comes_while_closing_is_told_so(daemon: Daemon) -> None:
    with connect(daemon) as client, client.makefile("rb") as answers:
        client.sendall(b"rubbish\n")
        assert b"error" in answers.readline()  # the client is seated
        daemon.inbox.close()
        client.sendall(b'{"n": 1}\n')
        assert json.loads(answers.readline()) == {"error": "inbox: the daemon is ending; nothing was done"}


@pytest.mark.parametrize(
    ("answer", "fault"),
    [
        (b"", "hung up without an answer"),
        (b'{"half": ', "hung up without an answer"),
        (b"what?\n", "found b'what"),
    ],
)
def test_a_daemon_that_answers_badly_is_told(
    tmp_path: Path, asking: Asking, answer: bytes, fault: str
) -> None:
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as listener:
        listener.bind(str(tmp_path / "inbox.socket"))
        listener.listen()
        asked = asking(tmp_path / "inbox.socket", {"n": 1})
        client, _ = listener.accept()
        with client:
            client.recv(100)
            client.sendall(answer)
    with pytest.raises(NaupliadError, match=fault):
        asked.result()
