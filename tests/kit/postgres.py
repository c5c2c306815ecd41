"""A real PostgreSQL for tests, where its server is installed: a cluster of its own in a folder of its own."""

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import count
from pathlib import Path

import psycopg
import pytest

from daemon.gathering.database import prepare
from tests.kit.command_line import PATIENCE_S, until

_INSTALLED = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda found: int(found.parts[-3]))
_FOUND = _INSTALLED[-1] if _INSTALLED else shutil.which("initdb")
_BINARIES = Path(_FOUND).parent if _FOUND else None
# It refuses to be root, so a test that is starts it as somebody else.
_AS = ["setpriv", "--reuid=postgres", "--regid=postgres", "--clear-groups"] if os.geteuid() == 0 else []
_INITIAL = ("-U", "postgres", "-A", "trust", "-E", "UTF8", "--no-sync", "--locale=C.UTF-8")
_TEMPLATE = "prepared"
_QUICK = ("fsync=off", "synchronous_commit=off", "full_page_writes=off", "autovacuum=off")
# Whoever gathers as it does where a district runs it: no owner, no superuser.
LOGIN = "gatherer_one"


def _why_not() -> str:
    if _BINARIES is None:
        return "no PostgreSQL server here"
    if _AS and shutil.which("setpriv") is None:
        return "PostgreSQL refuses to be root, and there is no setpriv"
    if _AS and not any(entry.pw_name == "postgres" for entry in pwd.getpwall()):
        return "PostgreSQL refuses to be root, and there is no account postgres"
    return ""


needs_postgres = pytest.mark.skipif(bool(_why_not()), reason=_why_not())


@dataclass
class Cluster:
    """A server that runs, and how to reach it: by a socket in its folder."""

    folder: Path
    settings: tuple[str, ...]
    process: subprocess.Popen[bytes] | None = None

    def dsn(self, database: str = "postgres", user: str = "postgres") -> str:
        return f"host={self.folder} dbname={database} user={user}"

    def start(self) -> None:
        self._begin()
        until("the database answers", self._answers)

    def _begin(self) -> None:
        assert _BINARIES is not None
        options = [word for setting in self.settings for word in ("-c", setting)]
        with (self.folder / "log").open("ab") as log:
            self.process = subprocess.Popen(
                [*_AS, _BINARIES / "postgres", "-D", self.folder / "data", *options],
                cwd=self.folder,
                stdout=log,
                stderr=log,
            )

    def stop(self) -> None:
        """At once: nobody needs what is in it any more."""
        self._end(signal.SIGQUIT)

    def kill(self) -> None:
        """As a power cut of its process: those that serve its clients see it, and end."""
        self._end(signal.SIGKILL)

    def ask(self, words: str, database: str = "postgres") -> list[tuple[object, ...]]:
        with psycopg.connect(self.dsn(database), autocommit=True) as line:
            done = line.execute(words.encode())
            return done.fetchall() if done.description else []

    def _end(self, number: signal.Signals) -> None:
        if self.process is not None:
            self.process.send_signal(number)
            self.process.wait(PATIENCE_S)
            self.process = None

    def _answers(self) -> bool:
        try:
            with psycopg.connect(self.dsn(), connect_timeout=2):
                return True
        except psycopg.OperationalError:
            assert self.process is not None
            if self.process.poll() is not None:
                log = (self.folder / "log").read_text()
                # Those that served its clients outlive a killed one for a moment, and keep its memory.
                assert "is still in use" in log[-500:], log
                self._begin()
            return False


@contextmanager
def cluster_running(*settings: str) -> Iterator[Cluster]:
    """A cluster with nothing in it; quick, and not safe from power cuts, unless `settings` say otherwise."""
    if _why_not():
        pytest.skip(_why_not())
    assert _BINARIES is not None
    # Not below pytest's own folder: that is closed to others, and its path too long for a socket.
    with tempfile.TemporaryDirectory(prefix="naupliad-pg-", ignore_cleanup_errors=True) as made:
        folder = Path(made)
        if _AS:
            shutil.chown(folder, "postgres", "postgres")
        subprocess.run(
            [*_AS, _BINARIES / "initdb", "-D", folder / "data", *_INITIAL],
            cwd=folder,
            check=True,
            capture_output=True,
        )
        common = ("listen_addresses=", f"unix_socket_directories={folder}", "max_connections=40")
        cluster = Cluster(folder, (*common, "shared_buffers=32MB", *(settings or _QUICK)))
        cluster.start()
        try:
            yield cluster
        finally:
            cluster.stop()


_numbers = count(1)


def new_database(cluster: Cluster) -> str:
    """The name of a prepared database with nothing in it, in which LOGIN may gather."""
    if not cluster.ask(f"SELECT 1 FROM pg_database WHERE datname = '{_TEMPLATE}'"):
        cluster.ask(f"CREATE DATABASE {_TEMPLATE}")
        with psycopg.connect(cluster.dsn(_TEMPLATE), autocommit=True) as line:
            line.execute("SET search_path = naupliad, pg_temp")
            prepare(line)
        cluster.ask(f"CREATE ROLE {LOGIN} LOGIN IN ROLE naupliad_gatherer")
    name = f"centre_{next(_numbers)}"
    cluster.ask(f"CREATE DATABASE {name} TEMPLATE {_TEMPLATE}")
    return name
