"""A real MQTT broker (mosquitto) for tests, where it is installed."""

import shutil
import signal
import socket
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.kit.command_line import PATIENCE_S, until
from tests.kit.mail_server import free_port

MOSQUITTO = shutil.which(
    "mosquitto", path="/usr/sbin:/usr/local/sbin:/usr/bin:/usr/local/bin:/opt/homebrew/sbin"
)
needs_a_broker = pytest.mark.skipif(MOSQUITTO is None, reason="no mosquitto here to be the broker")


@dataclass
class Served:
    """A broker that runs, and how to reach it."""

    folder: Path
    port: int
    process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        assert MOSQUITTO is not None
        self.process = subprocess.Popen(
            [MOSQUITTO, "-c", str(self.folder / "mosquitto.conf")],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        until("the broker listens", self._listens)

    def stop(self) -> None:
        if self.process is not None:
            self.process.terminate()
            self.process.wait(PATIENCE_S)
            self.process = None

    def kill(self) -> None:
        """As a power cut of its process: what it has not written to its disk is gone."""
        assert self.process is not None
        self.process.kill()
        self.process.wait(PATIENCE_S)
        self.process = None

    def reload(self) -> None:
        """Have it read its passwords and access list anew (SIGHUP)."""
        assert self.process is not None
        self.process.send_signal(signal.SIGHUP)

    def _listens(self) -> bool:
        try:
            with socket.create_connection(("127.0.0.1", self.port), timeout=1.0):
                return True
        except OSError:
            return False


@contextmanager
def served(folder: Path, more: str) -> Iterator[Served]:
    port = free_port()
    (folder / "mosquitto.conf").write_text(f"user root\nlistener {port} 127.0.0.1\n{more}", "utf-8")
    folder.chmod(0o755)
    broker = Served(folder, port)
    broker.start()
    try:
        yield broker
    finally:
        broker.stop()
