"""A disk that is mounted read-only, by the kernel itself: a file system in memory, in a namespace."""

import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from daemon.post.message import words_of
from tests.kit.command_line import surroundings, until
from tests.kit.mail_server import Desk, mail_servers
from tests.kit.running_daemon import OFTEN_S, rehearsing
from tests.kit.station import post

_BEATS = """
import sqlite3, sys
try:
    store = sqlite3.connect(f"file:{sys.argv[1]}/station.db?mode=ro", uri=True)
    print(store.execute("SELECT count(DISTINCT at) FROM reading").fetchone()[0])
except sqlite3.OperationalError:
    print(0)
"""


_KEEP = """
import sys
from pathlib import Path
from daemon.errors import NaupliadError
from daemon.setting_up.file_desk import keep_file, station_file
from daemon.setting_up.place import SetUpPlace

config = Path(sys.argv[1])
place = SetUpPlace(config, config.parent, {}, None)
seen = station_file(place)
try:
    keep_file(place, Path(sys.argv[2]).read_text(), seen["digest"])
    print("kept")
except NaupliadError as refused:
    print(f"writable: {seen['writable']}; {refused}")
"""


class Namespace:
    """A shell that may mount, for itself and what it starts, and a file system of its own."""

    def __init__(self, place: Path) -> None:
        self.place = place
        self._shell = subprocess.Popen(
            ["unshare", "-Urm", "sh", "-s"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            env=surroundings(),
        )
        self._mounted = False
        self._output = place.with_name("output")

    def asks(self, command: str) -> str:
        """Run a command there; the line that it says."""
        assert self._shell.stdin is not None
        assert self._shell.stdout is not None
        self._shell.stdin.write(f"{command}\n")
        self._shell.stdin.flush()
        return self._shell.stdout.readline().strip()

    def does(self, command: str) -> int:
        """Run a command there that says nothing; its exit code."""
        return int(self.asks(f"{command}\necho $?"))

    def mount(self, how: str) -> int:
        """Mount, or mount anew, `rw` or `ro`."""
        again, self._mounted = "remount," if self._mounted else "", True
        return self.does(f"mount -t tmpfs -o {again}{how},size=30m naupliad {shlex.quote(str(self.place))}")

    def start(self, config: Path) -> int:
        """The daemon there, its store in the file system; its process id."""
        words = [sys.executable, "-m", "daemon", "run", "--config", str(config), "--state"]
        command = f"{shlex.join(words)} {shlex.quote(str(self.state_inside))} > {self._output} 2>&1 &"
        return int(self.asks(f"{command}\necho $!"))

    def ended(self, daemon: int) -> int:
        """Wait for it; its exit code."""
        return self.does(f"wait {daemon}")

    @property
    def said(self) -> str:
        return self._output.read_text(encoding="utf-8")

    @property
    def state_inside(self) -> Path:
        return self.place / "state"

    def beats(self) -> int:
        """How many beats the store holds; 0 where there is none yet."""
        return int(self.asks(shlex.join([sys.executable, "-c", _BEATS, str(self.state_inside)])))

    def close(self) -> None:
        assert self._shell.stdin is not None
        self._shell.stdin.close()
        self._shell.wait(30)
        assert self._shell.stdout is not None
        self._shell.stdout.close()


@pytest.fixture
def namespace(tmp_path: Path) -> Iterator[Namespace]:
    if shutil.which("unshare") is None or subprocess.run(["unshare", "-Urm", "true"], check=False).returncode:
        pytest.skip("no right here to a namespace with mounts of its own")
    (tmp_path / "card").mkdir()
    one = Namespace(tmp_path / "card")
    if one.mount("rw"):
        one.close()
        pytest.skip("no right here to mount a file system in memory")
    yield one
    one.close()


def test_a_disk_mounted_read_only_under_the_daemon_and_before_its_next_start(
    namespace: Namespace, tmp_path: Path
) -> None:
    """The kernel refuses it for as long as the daemon has its store open; then it is told, and waited for."""
    desk, config = Desk(), rehearsing(tmp_path, OFTEN_S)
    with mail_servers() as start:
        mail = post(start(desk, "plain-on-loopback").smtp_port, nightly=False)
        config.write_text(f"{config.read_text(encoding='utf-8')}\n{mail}", encoding="utf-8")
        first = namespace.start(config)
        before = until("a beat", namespace.beats)
        assert namespace.mount("ro") != 0  # EBUSY
        until("a beat after it", lambda: namespace.beats() > before)
        namespace.does(f"kill {first}")
        assert namespace.ended(first) == 0
        assert namespace.mount("ro") == 0
        second = namespace.start(config)
        assert namespace.ended(second) == 2  # not even the lock can be had
        assert namespace.said.startswith(f"{namespace.state_inside}: found Read-only file system; allowed: ")
        assert namespace.said.count("\n") == 1
        (letter,) = [words_of(message) for _, _, message in desk.taken]
        assert letter.subject.startswith("Nothing is watched: card fails")
        assert namespace.mount("rw") == 0
        kept = namespace.beats()
        third = namespace.start(config)
        until("a new beat", lambda: namespace.beats() > kept)
        namespace.does(f"kill {third}")
        assert namespace.ended(third) == 0


def test_a_station_file_on_a_disk_mounted_read_only_is_not_kept_anew_and_stays_whole(
    namespace: Namespace, tmp_path: Path
) -> None:
    """As the page asks for it; once the disk takes writes it is kept."""
    other, config = rehearsing(tmp_path, OFTEN_S), namespace.place / "station.toml"
    keep = shlex.join([sys.executable, "-c", _KEEP, str(config), str(other)])
    look = f"sha256sum < {shlex.quote(str(config))}; ls -A {shlex.quote(str(namespace.place))} | tr '\\n' ' '"
    assert namespace.does(f"cp {shlex.quote(str(other))} {config}; echo '# by hand' >> {config}") == 0
    before = namespace.asks(f"({look}) | tr '\\n' ' '; echo")
    assert namespace.mount("ro") == 0
    assert namespace.asks(keep) == (
        f"writable: False; {namespace.place}: found a folder the daemon cannot write to; "
        "allowed: a disk that takes writes"
    )
    assert namespace.asks(f"({look}) | tr '\\n' ' '; echo") == before
    assert namespace.mount("rw") == 0
    assert namespace.asks(keep) == "kept"
    assert namespace.does(f"cmp -s {shlex.quote(str(other))} {config}") == 0
    assert namespace.does(f"tail -1 {config}.before | grep -q 'by hand'") == 0
