"""`naupliad page` as a process: it says where it is, answers there, and ends when it is told to."""

import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager
from io import StringIO
from pathlib import Path
from urllib.error import HTTPError
from urllib.parse import urlsplit
from urllib.request import urlopen

import pytest
from flask import Flask

from daemon.page import serving as serving_module
from daemon.page.guard.pin import page_folder
from daemon.store import runs as run_store
from daemon.store.file import WritingStore
from tests.kit.command_line import PATIENCE_S, naupliad, surroundings
from tests.kit.station import station_text


@contextmanager
def serving(state: Path, *words: str, **more: object) -> Iterator[subprocess.Popen[str]]:
    process = subprocess.Popen(
        [sys.executable, "-m", "daemon", "page", "--state", str(state), *words],
        env=surroundings(),
        text=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        **more,  # type: ignore[call-overload]  # of Popen
    )
    try:
        yield process
    finally:
        if process.poll() is None:
            process.kill()
        process.communicate(timeout=PATIENCE_S)


def address_of(process: subprocess.Popen[str]) -> str:
    assert process.stdout is not None
    said = process.stdout.readline()
    found = re.fullmatch(r"The page is at (http://\S+)\n", said)
    assert found, said
    return found[1]


def answered(address: str) -> int:
    try:
        with urlopen(address, timeout=PATIENCE_S) as answer:
            return int(answer.status)
    except HTTPError as refused:
        refused.close()
        return refused.code


@pytest.mark.parametrize("host", ["127.0.0.1", "::1"])
@pytest.mark.parametrize("by", [signal.SIGTERM, signal.SIGINT])
def test_the_page_says_its_address_answers_there_and_ends_when_told(
    tmp_path: Path, host: str, by: signal.Signals
) -> None:
    with serving(tmp_path, "--host", host, "--port", "0") as process:
        address = address_of(process)
        assert answered(address) == 503  # no station has run there
        assert answered(address + "/static/page.css") == 200
        process.send_signal(by)
        _, err = process.communicate(timeout=PATIENCE_S)
    assert (process.returncode, err) == (0, "")


def test_an_end_while_many_requests_wait_is_nothing_to_tell(tmp_path: Path) -> None:
    asked = b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"
    with serving(tmp_path, "--port", "0") as process, ExitStack() as visits:
        address = urlsplit(address_of(process))
        waiting = [
            visits.enter_context(socket.create_connection((address.hostname, address.port)))
            for _ in range(60)
        ]
        for one in waiting:
            one.sendall(asked * 20)
        waiting[0].recv(1)  # the first are answered, the rest wait
        process.terminate()
        _, err = process.communicate(timeout=PATIENCE_S)
    assert (process.returncode, err) == (0, "")


def heard_from(phone: str, state: Path, monkeypatch: pytest.MonkeyPatch, *words: str) -> tuple[str, int]:
    """Where the command would listen, and what a phone at that address would hear there."""
    served: list[tuple[Flask, str]] = []
    monkeypatch.setattr(serving_module, "serve", lambda site, host, *_: served.append((site, host)))
    said = naupliad("page", "--state", state, *words)
    assert (said.code, said.err) == (0, "")
    ((site, host),) = served
    phones = {"REMOTE_ADDR": phone, "HTTP_HOST": "192.168.7.20:8077"}
    return host, site.test_client().get("/", environ_overrides=phones).status_code


@pytest.mark.parametrize(
    ("words", "first", "listens", "hears"),
    [
        ((), "", "127.0.0.1", 403),
        ((), "lan", "0.0.0.0", 503),
        (("--host", "0.0.0.0"), "", "0.0.0.0", 503),
        (("--host", "192.168.7.20"), "", "192.168.7.20", 503),
        (("--host", "127.0.0.1"), "lan", "127.0.0.1", 403),
    ],
)
def test_before_a_station_has_run_whoever_starts_the_page_says_who_may_come(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    words: tuple[str, ...],
    first: str,
    listens: str,
    hears: int,
) -> None:
    monkeypatch.setenv("NAUPLIAD_PAGE_FIRST", first)
    # 503: let in, and told that no station has run there
    assert heard_from("192.168.7.31", tmp_path, monkeypatch, *words) == (listens, hears)


def test_where_a_station_has_run_its_file_says_who_may_come(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with closing(WritingStore(tmp_path)) as store:
        run_store.keep_station_file(store.connection, 1, station_text())
    monkeypatch.setenv("NAUPLIAD_PAGE_FIRST", "lan")
    assert heard_from("192.168.7.31", tmp_path, monkeypatch) == ("127.0.0.1", 403)
    assert heard_from("192.168.7.31", tmp_path, monkeypatch, "--host", "0.0.0.0") == ("0.0.0.0", 403)


def test_a_first_word_that_is_none_is_said_so_in_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NAUPLIAD_PAGE_FIRST", "everywhere")
    said = naupliad("page", "--state", tmp_path, "--port", "0")
    assert (said.code, len(said.faults)) == (2, 1)
    assert "NAUPLIAD_PAGE_FIRST: found 'everywhere'" in said.err


def test_a_port_that_is_taken_is_said_so_in_one_line(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        said = naupliad("page", "--state", tmp_path, "--port", str(port))
    assert said.code == 2
    allowed = "a free port of one of this machine's addresses"
    assert said.faults == [f"127.0.0.1:{port}: found Address already in use; allowed: {allowed}"]


def test_an_address_of_another_machine_is_said_so_in_one_line(tmp_path: Path) -> None:
    said = naupliad(
        "page", "--state", tmp_path, "--host", "192.0.2.1", "--port", "0"
    )  # RFC 5737: documentation
    assert said.code == 2
    assert len(said.faults) == 1
    assert "192.0.2.1:0: found Cannot assign requested address" in said.faults[0]


def test_an_address_that_is_none_is_said_so_in_one_line(tmp_path: Path) -> None:
    said = naupliad("page", "--state", tmp_path, "--host", "300.1.1.1", "--port", "0")
    assert said.code == 2
    assert len(said.faults) == 1
    assert "300.1.1.1:0: found " in said.faults[0]
    assert "Unknown error" not in said.faults[0]


def test_a_socket_that_the_service_manager_opened_is_served(tmp_path: Path) -> None:
    """As sd_listen_fds(3) hands it over: descriptor 3, and whom it is for in the environment."""
    with socket.create_server(("127.0.0.1", 0)) as opened:
        port = opened.getsockname()[1]
        words = f"exec 3<&{opened.fileno()}; LISTEN_PID=$$ LISTEN_FDS=1 exec {sys.executable} -m daemon page"
        process = subprocess.Popen(
            ["bash", "-c", f"{words} --state {tmp_path} --port 1"],
            env=surroundings(),
            text=True,
            stdout=subprocess.PIPE,
            pass_fds=[opened.fileno()],
        )
        try:
            assert address_of(process) == f"http://127.0.0.1:{port}"
            assert answered(f"http://127.0.0.1:{port}/") == 503
        finally:
            process.terminate()
            process.communicate(timeout=PATIENCE_S)
    assert process.returncode == 0


@pytest.mark.parametrize("words", [["--state", "{}", "pin"], ["pin", "--state", "{}"]])
def test_a_pin_is_set_where_the_folder_was_named_before_or_behind_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str]
) -> None:
    here, other = tmp_path / "here", tmp_path / "other"
    monkeypatch.setenv("STATE_DIRECTORY", str(other))
    monkeypatch.setattr("sys.stdin", StringIO("739152\n"))

    assert naupliad("page", *(word.format(here) for word in words)).code == 0

    assert (page_folder(here) / "pin.json").is_file()
    assert not page_folder(other).exists()


@pytest.mark.parametrize(
    ("words", "found"),
    [(["--port", "80", "pin"], "--port before pin"), (["--state", ".", "socket"], "--state before socket")],
)
def test_what_a_subcommand_has_not_is_not_taken_in_silence(words: list[str], found: str) -> None:
    said = naupliad("page", *words)

    assert (said.code, said.out) == (2, "")
    assert said.err == f"naupliad page: found {found}; allowed: --state before pin\n"
