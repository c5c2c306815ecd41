"""The page's account beside a real store and a real inbox: it reads and asks, and can write nothing.

The child has another account in the daemon's group, no network, and the state folder mounted read-only, as
`ProtectSystem=strict`, `PrivateNetwork` and `SupplementaryGroups` make it. No systemd runs in it.
"""

import os
import socket
import stat
import subprocess
import sys
import threading
import time
from contextlib import closing
from http.client import HTTPConnection
from pathlib import Path

import pytest

from daemon.inbox.line import INBOX
from daemon.inbox.listening import Inbox
from daemon.page.guard.pin import Cost, page_folder, set_pin
from daemon.store import runs as run_store
from daemon.store.file import WritingStore
from tests.kit.checkout import ROOT
from tests.kit.station import station_text
from tests.kit.units import tool

PAGE, DAEMONS_GROUP = 61_001, 61_002
READS = """
import sqlite3, sys
from pathlib import Path
from daemon.inbox.asking import ask
from daemon.inbox.line import INBOX
from daemon.store.file import open_for_reading
state = Path("/mnt")
store = open_for_reading(state)
print(store.execute("SELECT count(*) FROM reading").fetchone()[0])
try:
    store.execute("DELETE FROM reading")
except sqlite3.OperationalError as error:
    print(error)
try:
    (state / "mine").touch()
except OSError as error:
    print(error.strerror)
print(ask(state / INBOX, {"ask": "how"}))
"""


@pytest.fixture
def state(tmp_path: Path) -> Path:
    if os.geteuid() != 0:
        pytest.skip("needs root, to run as another account")
    folder = tmp_path / "naupliad"
    folder.mkdir()
    os.chown(folder, 0, DAEMONS_GROUP)
    folder.chmod(0o2750)  # here the group comes down by the folder; the daemon's own account brings it along
    return folder


def as_the_page(state: Path) -> list[str]:
    """What the child says, a line each."""
    inside = (
        f"mount --bind {state} /mnt && mount -o remount,bind,ro /mnt && exec setpriv --reuid {PAGE}"
        f" --regid {PAGE} --groups {DAEMONS_GROUP} --inh-caps=-all --bounding-set=-all --no-new-privs"
        f" {sys.executable} -B -c '{READS}'"
    )
    done = subprocess.run(
        [tool("unshare"), "--mount", "--net", "sh", "-c", inside],
        cwd="/",
        env={"PYTHONPATH": str(ROOT), "PATH": os.environ["PATH"]},
        capture_output=True,
        text=True,
        check=False,
    )
    if "permission denied" in done.stderr.lower() and "mount" in done.stderr:
        pytest.skip("this machine lets no folder be mounted")
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


def test_the_page_reads_and_asks_and_can_write_nothing(state: Path) -> None:
    before = os.umask(0o027)
    ended = threading.Event()
    try:
        with closing(WritingStore(state)) as store:
            with store.transaction() as connection:
                rows = [(at, "cup-water", 24.0, "good") for at in range(100)]
                connection.executemany("INSERT INTO reading VALUES (?, ?, ?, ?)", rows)
            woken = threading.Event()
            inbox = Inbox(state / INBOX, woken)

            def answer() -> None:
                while not ended.wait(0.01):
                    for request in inbox.requests():
                        request.answer({"heard": request.words["ask"]})

            answering = threading.Thread(target=answer)
            answering.start()
            try:
                said = as_the_page(state)
            finally:
                ended.set()
                answering.join()
                inbox.close()
        stopped = as_the_page(state)
    finally:
        os.umask(before)
    count, no_row, no_file, heard = said
    assert count == "100"
    assert "readonly database" in no_row
    assert "Read-only file system" in no_file or "Permission denied" in no_file
    assert heard == "{'heard': 'how'}"
    assert stopped == ["100", no_row, no_file, "None"]  # also once the daemon is down


def test_it_serves_on_the_socket_it_is_given_without_a_network_and_keeps_the_pin_to_itself(
    state: Path,
) -> None:
    own = page_folder(state)
    own.mkdir(mode=0o700)
    os.chown(own, PAGE, PAGE)
    set_pin(own, "735164", Cost(2, 8, 1))
    before = os.umask(0o027)
    try:
        with closing(WritingStore(state)) as store:
            run_store.keep_station_file(store.connection, int(time.time()), station_text())
    finally:
        os.umask(before)
    with socket.create_server(("127.0.0.1", 0)) as opened:
        home = f"127.0.0.1:{opened.getsockname()[1]}"
        inside = (
            "mount -t tmpfs none /mnt && mkdir /mnt/naupliad /mnt/naupliad-page"
            f" && mount --bind {own} /mnt/naupliad-page"
            f" && mount --bind {state} /mnt/naupliad && mount -o remount,bind,ro /mnt/naupliad"
            f" && exec 3<&{opened.fileno()} && LISTEN_PID=$$ LISTEN_FDS=1"
            f" exec setpriv --reuid {PAGE} --regid {PAGE} --groups {DAEMONS_GROUP}"
            " --inh-caps=-all --bounding-set=-all --no-new-privs"
            f" {sys.executable} -B -m daemon page --state /mnt/naupliad"
        )
        process = subprocess.Popen(
            [tool("unshare"), "--mount", "--net", "bash", "-c", inside],
            cwd="/",
            env={"PYTHONPATH": str(ROOT), "PATH": os.environ["PATH"]},
            pass_fds=[opened.fileno()],
            text=True,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        try:
            assert process.stdout is not None
            line = process.stdout.readline()
            fault = "" if line else process.communicate()[1]
            if "mount: " in fault:
                pytest.skip("this machine lets no folder be mounted")
            assert fault == ""
            assert line == f"The page is at http://{home}\n"
            with closing(HTTPConnection(home, timeout=60)) as asked:
                asked.request("GET", "/")
                shown = asked.getresponse()
                assert (shown.status, "Small room" in shown.read().decode()) == (200, True)
                form = {"Origin": f"http://{home}", "Content-Type": "application/x-www-form-urlencoded"}
                asked.request("POST", "/pin", "pin=735164", form)
                assert asked.getresponse().status == 303
        finally:
            process.terminate()
            process.communicate(timeout=60)
    kept = {path.name: path.stat() for path in own.iterdir()}
    assert set(kept) == {"pin.json", "sessions.json", "tries.json"}
    assert {(one.st_uid, stat.S_IMODE(one.st_mode)) for one in kept.values()} == {(PAGE, 0o600)}
