"""A machine that was never set up: the daemon waits for its first file, the page beside it, probes in a tree.

All of it real but the tree: the processes as their services start them, and a mail server over TLS.
"""

import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from daemon.inbox.line import INBOX
from daemon.page.guard.pin import Cost, page_folder, set_pin
from tests.kit.command_line import ended, surroundings, until
from tests.kit.mail_server import Desk, certify, free_port, mail_servers
from tests.kit.page_station import PIN
from tests.kit.running_daemon import Running
from tests.kit.sysfs import attach, slave_text

BUS = "sys/bus/w1/devices"
WATER, ROOM = "28-00000a1b2c3d", "28-00000a1b2c4e"
FASTER = 40.0  # a check in ice of a minute and a half: some seconds
USER = "cups"


@dataclass
class NewStation:
    """Its folder, the page's address, the mail server's port and what it was given."""

    root: Path
    daemon: Running
    address: str
    mail_port: int
    post: Desk

    @property
    def file(self) -> Path:
        """The station file, once it is kept."""
        return self.root / "station.toml"

    def warm(self, probe: str, water_c: float) -> None:
        """What a thermometer reads from now on, °C."""
        (self.root / BUS / probe / "w1_slave").write_text(slave_text(round(water_c * 16)))


@contextmanager
def new_station(root: Path) -> Iterator[NewStation]:
    """Both processes, up to where they answer."""
    state = root / "state"
    state.mkdir()
    for probe in (WATER, ROOM):
        attach(root / BUS, probe, 21.0, resolution="12", ext_power="1")
    set_pin(page_folder(state), PIN, Cost(2, 8, 1))  # what a try costs is held elsewhere
    papers, post, port = certify(root, "localhost"), Desk(), free_port()
    with mail_servers() as start:
        start(post, "tls", port, ssl_context=papers.server, auth_require_tls=False)
        environ = {
            **surroundings(),
            "NOTIFY_SOCKET": str(root / "nobody"),
            "SSL_CERT_FILE": str(papers.file),
        }
        daemon = _begin(root, environ, "run", "--config", root / "station.toml", "--state", state)
        page = _begin(root, environ, "page", "--state", state, "--port", "0")
        try:
            assert page.stdout is not None
            said = re.fullmatch(r"The page is at (\S+)\n", page.stdout.readline())
            assert said is not None
            until("the inbox is there", lambda: daemon.poll() is not None or (state / INBOX).exists())
            yield NewStation(root, Running(daemon, state), said[1], port, post)
        finally:
            for process in (page, daemon):
                process.terminate()
                print(ended(process).err)  # noqa: T201 - for who looks why it failed


def _begin(root: Path, environ: dict[str, str], *words: str | Path) -> "subprocess.Popen[str]":
    command = [sys.executable, "-m", "tests.kit.on_machine", str(root), str(FASTER), *map(str, words)]
    return subprocess.Popen(
        command, cwd=root, env=environ, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
