"""What is looked at in the running machine, in this order: each leaves it as the next one needs it."""

import re
import sqlite3
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.bench.booted.guest import Guest

STATION = (Path(__file__).parent / "inside" / "station.toml").read_text()
STORE = "/var/lib/naupliad/station.db"
_SET = 'naupliad care add {} set 0.05 --detail "salt_g_per_l=25;lot=blue tin"'
_MODES = {
    "/var/lib/naupliad": "750 naupliad:naupliad",
    "/run/naupliad": "750 naupliad:naupliad",
    STORE: "640 naupliad:naupliad",
    "/var/lib/naupliad/inbox.sock": "660 naupliad:naupliad",
}


@dataclass(frozen=True, slots=True)
class Found:
    """One row of the table."""

    check: str
    right: bool
    found: str


def installing(guest: Guest) -> Iterator[Found]:
    """docs/install.md, steps 4 to 7, as the account `teacher`."""
    first = guest.ask("cd naupliad && time sudo systemd/install.sh", "teacher", patience_s=3600)
    waits = first.code == 0 and "holds nothing yet" in first.said
    yield Found("installer, first run", waits, _took(first.said))
    groups = guest.ask("id -nG naupliad").said.split()
    yield Found("account and groups", {"naupliad", "gpio", "spi"} <= set(groups), " ".join(groups))
    guest.ask('sudo usermod -aG naupliad "$USER"', "teacher")
    guest.ask(f"cat >/etc/naupliad/station.toml <<'END'\n{STATION}END")
    again = guest.ask("cd naupliad && time sudo systemd/install.sh", "teacher", patience_s=3600)
    yield Found("installer, with a station file", again.code == 0, _took(again.said))
    yield _says(guest, "probes", "naupliad probes", "tray-water .*good.*trusted", "teacher")


def running(guest: Guest) -> Iterator[Found]:
    """The service as it stands after the installer."""
    yield _says(guest, "active", "systemctl show -p ActiveState,SubState naupliad", "ActiveState=active")
    yield _says(guest, "what it says of itself", "systemctl status naupliad", 'Status: "Room 12: .*"')
    yield _says(guest, "readiness is the first beat", "journalctl -u naupliad -o cat", _READY)
    for path, wanted in _MODES.items():
        mode = guest.ask(f"stat -c '%a %U:%G' {path}").said
        yield Found(f"mode of {path}", mode == wanted, mode)
    yield _says(
        guest, "memory, KB", "grep VmRSS /proc/$(systemctl show -P MainPID naupliad)/status", r"\d+ kB"
    )
    yield _says(guest, "nothing failed to start", "systemctl --failed --no-legend; echo end", "^end$")
    trigger = "/sys/bus/w1/devices/w1_bus_master1/therm_bulk_read"
    yield _says(guest, "udev gave the trigger away", f"stat -c '%a %G' {trigger}", "664 naupliad")


_READY = r"(?s)Starting naupliad.*first readings are kept.*Started naupliad"


def people(guest: Guest) -> Iterator[Found]:
    """Who may look and tell, and who may not."""
    for what, command, words in (
        ("a member of the group looks", "naupliad now", "Water: "),
        ("and records", _SET.format("tray-a"), "recorded as deed"),
        ("and reads the store", f"sqlite3 -readonly {STORE} 'select count(*) from reading'", r"^\d+$"),
        ("and cannot write to it", f"sqlite3 {STORE} 'delete from reading'", "readonly"),
        ("and sends a sample letter", "naupliad post sample", "on its way"),
        ("and runs the checkup", "naupliad checkup; true", "ok +service +the daemon runs"),
    ):
        yield _says(guest, what, command, words, "teacher")
    yield _says(guest, "another is told how to be let in", "naupliad now", "usermod -aG naupliad", "pupil")
    yield _says(
        guest, "and cannot read the store", f"sqlite3 -readonly {STORE} .tables", "unable to open", "pupil"
    )


def letters(guest: Guest) -> Iterator[Found]:
    """The night's letter with its chart, drawn by the child under all that the unit forbids."""
    soon = "date -d '+90 sec' +%H:%M"
    nightly = f's/^nightly_at.*/nightly_at = \\"$({soon})\\"/'
    guest.ask(f'sed -i --follow-symlinks "{nightly}" /etc/naupliad/station.toml')
    guest.ask("systemctl restart naupliad")
    arrived = "grep -lr 'X-Naupliad-Kind: nightly' /var/lib/trial-mail/new | head -1"
    wait = f'for n in $(seq 60); do f=$({arrived}); [ -n "$f" ] && break; sleep 5; done; cat $f'
    yield _says(guest, "the night's letter", wait, "X-Naupliad-Kind: nightly")
    yield _says(guest, "its chart", f"grep -c 'Content-Type: image/png' $({arrived})", "^1$")


def clock(guest: Guest) -> Iterator[Found]:
    """The kernel is asked under the unit's own filter of system calls."""
    row = f"sqlite3 -readonly {STORE} 'select sure_at is not null from boot order by id desc limit 1'"
    yield _says(guest, "not sure of the clock before", row, "^0$")
    guest.ask(
        "mkdir -p /etc/systemd/timesyncd.conf.d; systemd-run -q --unit=trial-time trial-time;"
        " printf '[Time]\\nNTP=127.0.0.1\\n' >/etc/systemd/timesyncd.conf.d/trial.conf;"
        " systemctl restart systemd-timesyncd; sleep 30"
    )
    yield _says(guest, "timesyncd says so", "ls /run/systemd/timesync", "synchronized")
    yield _says(guest, "and the daemon is sure", row, "^1$")


def endings(guest: Guest) -> Iterator[Found]:
    """Killed, hung, stopped, started again and again."""
    pid = "systemctl show -P MainPID naupliad"
    back = f"n=0; until [ $({pid}) != 0 ] && systemctl is-active -q naupliad; do sleep 1; done; {pid}"
    killed = f"old=$({pid}); kill -9 $old; sleep 3; s=$(date +%s); {back}; echo after $(($(date +%s)-s+3)) s"
    yield _says(guest, "killed, it is started again", killed, r"after (1[5-9]|[2-9]\d) s")
    hung = (
        f"old=$({pid}); kill -STOP $old; {_UNTIL_GONE}; journalctl -u naupliad -o cat | grep Watchdog; {back}"
    )
    yield _says(guest, "hung, the watchdog ends it", hung, r"Watchdog timeout \(limit 5min\)")
    yield _says(guest, "stopped within 5 s, exit 0", _TIMED_STOP, r"^[0-4] s, exit 0, Result=success")
    restarts = f"for n in 1 2 3 4 5; do systemctl restart naupliad || echo failed; done; {_STATE}"
    yield _says(guest, "restarted five times", restarts, "^active$")


_STATE = "systemctl is-active naupliad"
_UNTIL_GONE = 'until [ "$(systemctl show -P MainPID naupliad)" != $old ]; do sleep 2; done'
_TIMED_STOP = (
    "s=$(date +%s); systemctl stop naupliad; echo $(($(date +%s)-s)) s,"
    " exit $(systemctl show -P ExecMainStatus naupliad), $(systemctl show -p Result naupliad);"
    " systemctl start naupliad"
)


def backup(guest: Guest) -> Iterator[Found]:
    """A copy beside the store, and one on a stick: FAT, as docs/how-to/backup.md mounts it."""
    guest.ask(
        "truncate -s 512M /root/stick.img; mkfs.vfat -n STICK /root/stick.img;"
        " mount -o loop,noatime,uid=naupliad,gid=naupliad,umask=027 /root/stick.img /mnt/naupliad-backup"
    )
    yield _says(
        guest, "backup", "systemctl start naupliad-backup; ls /mnt/naupliad-backup", r"station-[\d-]+\.db"
    )
    yield _says(
        guest, "its timer", "systemctl list-timers --no-legend naupliad-backup.timer", "naupliad-backup"
    )
    guest.ask("umount /mnt/naupliad-backup")


def plug(guest: Guest, cuts: int, pause_s: Callable[[], float]) -> Iterator[Found]:
    """The power of the whole machine cut at random moments while it beats."""
    whole = f"systemctl stop naupliad; sqlite3 {STORE} 'pragma integrity_check'; systemctl start naupliad"
    journal = "journalctl -u naupliad -b -o cat"
    count = f"sqlite3 -readonly {STORE} 'select count(*) from reading'"
    lost: list[str] = []
    begun = int(guest.ask(count).said)
    for cut in range(cuts):
        before = guest.ask(f"sleep {pause_s():.2f}; {count}").said
        guest.pull_the_plug()
        guest.switch_on()
        guest.ask("until systemctl is-active -q naupliad; do sleep 1; done", patience_s=300)
        after, said = guest.ask(count).said, guest.ask(whole).said
        if said != "ok" or int(after) < int(before) or "broken" in guest.ask(journal).said:
            lost.append(f"cut {cut + 1}: {before} readings, then {after}; {said}")
    held = int(guest.ask(count).said)
    yield Found(
        f"power cut {cuts} times", not lost, "; ".join(lost) or f"{held - begun} readings since, all whole"
    )


def frozen(guest: Guest, folder: Path, times: int, pause_s: Callable[[], float]) -> Iterator[Found]:
    """The disk as it was at random moments, as a power cut then would have left it; looked at from outside.

    Mounting it replays the file system's journal, as the machine's next start would.
    """
    copy, place = folder / "copy.img", folder / "mounted"
    place.mkdir(exist_ok=True)
    lost: list[str] = []
    logs = 0
    for number in range(times):
        before = int(guest.ask(f"sqlite3 -readonly {STORE} 'select count(*) from reading'").said)
        time.sleep(pause_s())
        guest.copy_disk(copy)
        with _mounted(copy, place), closing(sqlite3.connect(f"{place}{STORE}")) as store:
            logs += Path(f"{place}{STORE}-wal").stat().st_size > 0
            (whole,) = store.execute("PRAGMA integrity_check").fetchone()
            (after,) = store.execute("SELECT count(*) FROM reading").fetchone()
        if whole != "ok" or after < before:
            lost.append(f"copy {number + 1}: {before} readings, then {after}; {whole}")
    copy.unlink(missing_ok=True)
    yield Found(f"disk copied {times} times", not lost, "; ".join(lost) or f"all whole, {logs} with a log")


@contextmanager
def _mounted(disk: Path, place: Path) -> Iterator[None]:
    subprocess.run(["mount", "-o", "loop", str(disk), str(place)], check=True)
    try:
        yield
    finally:
        subprocess.run(["umount", str(place)], check=True)


def removing(guest: Guest) -> Iterator[Found]:
    """Taken away and put back, the store stays; purged, nothing does."""
    count = f"sqlite3 -readonly {STORE} 'select count(*) from reading'"
    before = guest.ask(f"systemctl stop naupliad; {count}").said
    command = "cd naupliad && sudo systemd/install.sh"
    yield _says(guest, "removed", f"{command} --remove", "removed; kept: ", "teacher")
    yield _says(guest, "what is left", _LEFT, r"^/etc/naupliad /mnt/naupliad-backup /var/lib/naupliad $")
    guest.ask(command, "teacher", patience_s=3600)
    after = guest.ask(count).said
    yield Found(
        "installed again, the store is kept", int(after) >= int(before), f"{before} then {after} readings"
    )
    yield _says(guest, "purged", f"{command} --remove --purge", "removed, with store", "teacher")
    yield _says(
        guest,
        "what is left then",
        f"{_LEFT}; getent passwd naupliad; getent group naupliad; echo end",
        "^ *end$",
    )


_LEFT = (
    "find / -xdev -path /home -prune -o -path /usr/src -prune -o -path /var/log -prune -o"
    " -path /var/lib/trial-mail -prune -o -name '*naupliad*' -prune -print | sort | tr '\\n' ' '"
)


def _says(guest: Guest, check: str, command: str, wanted: str, account: str = "root") -> Found:
    said = guest.ask(command, account).said
    found = re.search(wanted, said, re.MULTILINE)
    return Found(check, found is not None, " ".join((found[0] if found else said).split())[:150])


def _took(said: str) -> str:
    real = re.search(r"real\s+(\S+)", said)
    return f"took {real[1]}" if real else said[-150:]
