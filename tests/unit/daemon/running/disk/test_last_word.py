"""A disk that takes no writes: what is still said, how often, and what when it does again."""

import errno
import json
import os
import signal
import socket
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from datetime import datetime
from email import message_from_bytes, policy
from email.message import EmailMessage
from itertools import pairwise
from pathlib import Path

import pytest

from daemon.errors import InputError, NaupliadError
from daemon.post.smtp import SmtpCarrier
from daemon.running.disk.fault import disk_fault
from daemon.running.disk.last_word import CardWell, LastWord, Memory
from daemon.running.disk.wait import takes_writes, wait_for_disk
from daemon.running.service_notices import ServiceNotices
from daemon.store.file import WritingStore
from reports.letters.memory_card import LastRead
from tests.kit.command_line import ended, until
from tests.kit.lost_writes import built_shim
from tests.kit.mail_server import Desk, Start, free_port, mail_servers
from tests.kit.running_daemon import OFTEN_S, care, rehearsing, served
from tests.kit.station import post, station
from tests.kit.unsure_machine import BEGAN, Machine

pytestmark = pytest.mark.usefixtures("undrawn")

DAY_S = 24 * 3600
READ = [LastRead("cup", 1, 24.5, datetime.fromisoformat("2027-01-15T12:40:00+00:00"))]


@pytest.fixture
def start() -> Iterator[Start]:
    with mail_servers() as starting:
        yield starting


def words_of(message: bytes) -> tuple[str, str]:
    read = message_from_bytes(message, policy=policy.default)
    assert isinstance(read, EmailMessage)
    body = read.get_body(("plain",))
    assert body is not None
    return str(read["Subject"]), " ".join(str(body.get_content()).split())


# --- what is said, and how often


class Post:
    """A station whose letters go to a mail server; time is told, and a daemon is started again at will."""

    def __init__(self, start: Start, folder: Path | None) -> None:
        self.desk, self.now, self.port = Desk(), 0.0, free_port()
        self.server = start(self.desk, "plain-on-loopback", self.port)
        self.environ = {} if folder is None else {"RUNTIME_DIRECTORY": str(folder)}
        self.memory = Memory(self.environ)

    def starts_again(self) -> None:
        """A new process knows only what is remembered outside it."""
        self.memory = Memory(self.environ)

    def fails(self, found: str = "full") -> None:
        """The disk fails once more, and what is due is said."""
        carriers = {"mail": SmtpCarrier(self.server, None)}
        word = LastWord(
            station(driver="rehearsal"),
            carriers,
            self.memory,
            now_s=lambda: BEGAN + self.now,
            monotonic_s=lambda: self.now,
        )
        word.failed(found)
        word.say(READ)

    @property
    def letters(self) -> list[tuple[str, str]]:
        return [words_of(message) for _, _, message in self.desk.taken]


def test_a_disk_that_takes_nothing_is_told_in_one_letter_that_says_what_was_known(
    start: Start, tmp_path: Path
) -> None:
    post = Post(start, tmp_path)
    for _ in range(20):  # a quarter of a minute apart, as the service starts it
        post.fails()
        post.starts_again()
        post.now += 15
    ((subject, text),) = post.letters
    assert subject == "Nothing is watched: card full, Small room"
    assert "Water last read: 24.5 °C" in text
    assert "24.5 °C" in text
    assert "make room on its memory card" in text
    assert "next planned letter" not in text


def test_it_is_said_again_once_a_day_for_as_long_as_it_lasts(start: Start, tmp_path: Path) -> None:
    post = Post(start, tmp_path)
    for _ in range(4 * 24 * 3):
        post.fails()
        post.starts_again()
        post.now += 900
    assert len(post.letters) == 3


def test_without_a_folder_to_remember_in_it_is_said_once_by_each_process(start: Start) -> None:
    post = Post(start, None)
    post.fails()
    post.fails()
    assert len(post.letters) == 1
    post.starts_again()
    post.fails()
    assert len(post.letters) == 2


def test_a_word_that_does_not_go_is_tried_again_and_not_every_time(start: Start, tmp_path: Path) -> None:
    post = Post(start, tmp_path)
    post.desk.replies["MAIL"] = "451 come back later"
    tried = []
    for second in range(0, 3600, 15):
        post.now = float(second)
        before = post.memory.said
        post.fails()
        assert post.memory.said is not None
        if before is None or post.memory.said.tries > before.tries:
            tried.append(second)
        post.starts_again()
    assert tried == [0, 60, 180, 480, 1380, 3180]
    del post.desk.replies["MAIL"]
    post.now = 3180.0 + 3600
    post.fails()
    assert len(post.letters) == 1


def test_what_is_remembered_and_makes_no_sense_is_no_hindrance(start: Start, tmp_path: Path) -> None:
    (tmp_path / "card-failed.json").write_text('["half a', encoding="utf-8")
    post = Post(start, tmp_path)
    post.fails("failing")
    ((_, text),) = post.letters
    assert "for another memory card" in " ".join(text.split())


# --- which fault is the disk's


@pytest.mark.parametrize(
    ("number", "found"),
    [(errno.ENOSPC, "full"), (errno.EROFS, "read-only"), (errno.EIO, "failing"), (errno.EACCES, None)],
)
def test_a_folder_that_takes_nothing_because_of_the_disk_is_told_from_one_with_other_faults(
    tmp_path: Path, number: int, found: str | None
) -> None:
    with pytest.raises(InputError) as refused:
        WritingStore(tmp_path, before_opening=lambda _path: raises(OSError(number, "told")))
    assert disk_fault(refused.value, tmp_path) == found


def raises(error: Exception) -> None:
    raise error


def test_a_full_store_is_known_by_what_sqlite_says_and_a_mistake_of_ours_is_not(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "some.db")) as connection:
        connection.execute("CREATE TABLE much (more)")
        connection.execute("PRAGMA max_page_count = 3")
        with pytest.raises(sqlite3.OperationalError) as full:
            connection.execute("INSERT INTO much VALUES (zeroblob(100000))")
        with pytest.raises(sqlite3.OperationalError) as wrong:
            connection.execute("INSERT INTO nothing VALUES (1)")
    assert disk_fault(full.value, tmp_path) == "full"
    assert disk_fault(wrong.value, tmp_path) is None


@pytest.mark.parametrize(
    ("flag", "blocks", "files", "found"),
    [
        (os.ST_RDONLY, 1000, 1000, "read-only"),
        (0, 0, 1000, "full"),
        (0, 1000, 0, "full"),
        (0, 1000, 1000, None),
    ],
)
def test_a_store_that_cannot_be_opened_is_the_disks_fault_where_the_system_says_so_of_the_disk(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    flag: int,
    blocks: int,
    files: int,
    found: str | None,
) -> None:
    with pytest.raises(sqlite3.OperationalError) as refused:
        sqlite3.connect(tmp_path / "no folder" / "some.db")
    assert refused.value.sqlite_errorcode == sqlite3.SQLITE_CANTOPEN
    # the fields of statvfs(3), in their order
    told = os.statvfs_result((4096, 4096, 1000, blocks, blocks, 1000, files, files, flag, 255))
    monkeypatch.setattr(os, "statvfs", lambda _folder: told)
    assert disk_fault(refused.value, tmp_path) == found


def test_a_disk_is_tried_with_the_store_itself_and_nothing_stays_of_it(tmp_path: Path) -> None:
    assert takes_writes(tmp_path)
    store = WritingStore(tmp_path)
    assert store.connection.execute("SELECT count(*) FROM job_run").fetchone() == (0,)
    assert takes_writes(tmp_path)  # in use by another: that disk takes writes
    store.close()


# --- waited for


@dataclass
class Waiting:
    """A clock that is there at once, and a disk that is well from a moment on."""

    well_at: float
    now: float = 0.0
    asked: list[float] = field(default_factory=list)
    meanwhile: list[float] = field(default_factory=list)

    def now_s(self) -> int:
        return int(self.now)

    def monotonic_s(self) -> float:
        return self.now

    def wait(self, until_monotonic_s: float, _wake: threading.Event) -> bool:
        self.now = until_monotonic_s
        return True

    def well(self) -> bool:
        self.asked.append(self.now)
        return self.now >= self.well_at


def held(waiting: Waiting, times: int, environ: dict[str, str] | None = None) -> None:
    wait_for_disk(
        "the disk is full",
        times,
        waiting.well,
        lambda: waiting.meanwhile.append(waiting.now),
        ServiceNotices(environ or {}),
        waiting,  # type: ignore[arg-type]  # all of a clock that is asked here
    )


def test_the_disk_is_looked_at_once_a_minute_and_its_fault_logged_once_an_hour(
    caplog: pytest.LogCaptureFixture,
) -> None:
    waiting = Waiting(well_at=7 * DAY_S)
    held(waiting, times=1)
    assert waiting.now == 7 * DAY_S
    assert len(waiting.meanwhile) == 7 * DAY_S / 60
    assert len(caplog.records) <= 7 * 24 + 1
    assert {record.message for record in caplog.records} == {"the disk is full", "still: the disk is full"}


@pytest.mark.parametrize(("times", "minutes"), [(1, 1), (2, 2), (3, 5), (5, 30), (6, 60), (60, 60)])
def test_a_disk_that_only_seemed_well_is_given_longer_each_time(times: int, minutes: int) -> None:
    waiting = Waiting(well_at=0)
    held(waiting, times)
    assert waiting.now == minutes * 60


def test_the_service_manager_is_told_that_nothing_hangs(tmp_path: Path) -> None:
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
        manager.bind(str(tmp_path / "notify"))
        held(Waiting(well_at=180), 1, {"NOTIFY_SOCKET": str(tmp_path / "notify")})
        told = [manager.recv(1000).decode() for _ in range(4)]
    assert told[0] == "STATUS=the disk is full"
    # the assignments of sd_notify(3): neither the start nor the watchdog runs out
    assert told[1:] == ["EXTEND_TIMEOUT_USEC=900000000\nWATCHDOG=1"] * 3


# --- well again


def test_a_disk_that_is_well_for_ten_minutes_is_told_of_at_once_where_its_fault_was(tmp_path: Path) -> None:
    machine, memory = Machine(tmp_path), Memory({})
    machine.deeds.append(0)  # nothing is set
    machine.run(1)
    assert machine.home is not None
    word = LastWord(
        station(),
        {"files": machine},
        memory,
        now_s=machine.now_s,
        monotonic_s=machine.monotonic_s,
    )
    word.failed("full")
    word.say([])
    assert [kind for kind, _ in machine.sent] == ["storage"]
    well = CardWell(memory, machine.home.card_is_well, machine)
    well.after_beat(0)
    assert memory.said is not None
    machine.true += 600
    well.after_beat(0)
    assert memory.said is None
    machine.run(1)
    assert [kind for kind, _ in machine.sent] == ["storage", "storage"]
    assert machine.store is not None
    (message,) = machine.store.connection.execute(
        "SELECT message FROM letter WHERE kind = 'storage' AND state = 'sent'"
    ).fetchone()
    subject, text = words_of(message)
    assert subject == "Station watches again, Small room"
    assert "what was done meanwhile" in text
    machine.kill()


# --- the daemon itself


def test_the_daemon_itself_says_the_last_word_waits_and_does_not_say_it_again_when_started_again(
    start: Start, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shim = built_shim(tmp_path)
    if shim is None:
        pytest.skip("no C compiler here to build tests/data/lost_writes.c with")
    desk, fails, state = Desk(), tmp_path / "fails", tmp_path / "state"
    server = start(desk, "plain-on-loopback")
    config = rehearsing(tmp_path, OFTEN_S)
    mail = post(server.smtp_port, nightly=False)
    config.write_text(f"{config.read_text(encoding='utf-8')}\n{mail}", encoding="utf-8")
    (tmp_path / "run").mkdir()
    monkeypatch.setenv("LD_PRELOAD", str(shim))
    monkeypatch.setenv("LOST_WRITES_ERRNO", str(fails))
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(tmp_path / "run"))
    with served(config, state, tmp_path, hurried=True) as (daemon, notice):
        notice("READY=1")
        care(state, "add", "cup", "set", "0.05", "--detail", "salt_g_per_l=25")
        fails.write_text(str(errno.ENOSPC))
        assert "found database or disk is full" in notice("STATUS=" + str(state))
        daemon.process.send_signal(signal.SIGTERM)
        assert ended(daemon.process).code == 0
    ((subject, text),) = [words_of(message) for _, _, message in desk.taken]
    assert subject.startswith("Nothing is watched: card f")
    assert "Water last read: " in text
    with served(config, state, tmp_path, hurried=True) as (daemon, notice):  # the disk fails still
        notice("STATUS=" + str(state))
        daemon.process.kill()
        ended(daemon.process)
    assert len(desk.taken) == 1
    assert json.loads((tmp_path / "run" / "card-failed.json").read_text())["times"] == 2
    fails.unlink()
    with served(config, state, tmp_path, hurried=True) as (daemon, notice):
        notice("READY=1")
        until("a beat", lambda: daemon.beats() > 1)
        assert daemon.stop().code == 0


def test_a_slow_disk_delays_beats_and_loses_none(tmp_path: Path) -> None:
    """A COMMIT that takes its time: the rhythm goes on, and begins anew where a whole beat was missed."""
    machine, slow = Machine(tmp_path), [20, 0, 0, 700, 0]
    machine.run(1)
    assert machine.store is not None

    def on_statement(statement: str) -> None:
        if statement == "COMMIT" and slow:
            machine.true += slow.pop(0)

    machine.store.connection.set_trace_callback(on_statement)
    machine.run(8)
    assert not slow
    reads = [at for (at,) in machine.store.connection.execute("SELECT DISTINCT at FROM reading ORDER BY at")]
    assert len(reads) == len(machine.read) == 9
    lengths = [after - before for before, after in pairwise(reads)]
    assert sorted(lengths) == [600] * 7 + [1300]
    machine.kill()


def test_an_error_that_is_not_the_disks_is_raised_as_it_was(tmp_path: Path) -> None:
    assert disk_fault(NaupliadError("another naupliad writes here"), tmp_path) is None
