"""Notices to a service manager that is a real datagram socket."""

import os
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from daemon.running.service_notices import ServiceNotices


@pytest.fixture(params=["path", "abstract"])
def manager(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[str, socket.socket]]:
    """What NOTIFY_SOCKET says, and the socket behind it (sd_notify(3))."""
    name = str(tmp_path / "notify") if request.param == "path" else f"@naupliad-test-{os.getpid()}"
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as listener:
        listener.settimeout(5.0)
        listener.bind(name.replace("@", "\0", 1) if request.param == "abstract" else name)
        yield name, listener


def test_every_notice_reaches_the_service_manager(manager: tuple[str, socket.socket]) -> None:
    address, listener = manager
    notices = ServiceNotices({"NOTIFY_SOCKET": address})
    notices.ready()
    notices.status("24 cups,\n2 probes: all well, 21 °C")
    notices.alive()
    notices.stopping()
    came = [listener.recv(1000) for _ in range(4)]
    # the assignments of sd_notify(3)
    assert came[0] == b"READY=1"
    assert came[1] == "STATUS=24 cups, 2 probes: all well, 21 °C".encode()
    assert came[2:] == [b"WATCHDOG=1", b"STOPPING=1"]


@pytest.mark.parametrize("environ", [{}, {"NOTIFY_SOCKET": ""}, {"NOTIFY_SOCKET": "/nowhere/notify"}])
def test_without_a_service_manager_nothing_happens(environ: dict[str, str]) -> None:
    notices = ServiceNotices(environ)
    notices.ready()
    notices.status("well")
    notices.alive()
    notices.stopping()


def test_a_service_manager_that_does_not_listen_holds_up_no_beat(tmp_path: Path) -> None:
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as deaf:
        deaf.bind(str(tmp_path / "notify"))
        notices = ServiceNotices({"NOTIFY_SOCKET": str(tmp_path / "notify")})
        for _ in range(600):  # more than any queue of datagrams holds (net.unix.max_dgram_qlen is 10 to 512)
            notices.alive()
        assert deaf.recv(100) == b"WATCHDOG=1"


@pytest.mark.parametrize(("beat_s", "patience_s"), [(5, 900), (60, 900), (300, 900), (3600, 10_800)])
def test_the_watchdog_bears_with_a_station_that_seldom_beats(
    manager: tuple[str, socket.socket], beat_s: int, patience_s: int
) -> None:
    address, listener = manager
    ServiceNotices({"NOTIFY_SOCKET": address}).expect_every(beat_s)
    assert listener.recv(1000) == f"WATCHDOG_USEC={patience_s}000000".encode()
