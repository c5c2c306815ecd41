"""The same cuts for `naupliad run` itself, in real time: signals, inbox, watchdog and all.

A beat is acknowledged when the daemon feeds the watchdog (sd_notify(3)), a note when the inbox has answered.
"""

import shutil
import socket
import sqlite3
import time
from contextlib import closing, suppress
from pathlib import Path
from random import Random

from tests.kit.command_line import begin, naupliad, surroundings
from tests.kit.cut_station import Tally
from tests.kit.running_daemon import rehearsing
from tests.kit.station import PROBES

_EVERY_S = 5
_LIFE_S = 8.0


def suffer_whole(folder: Path, seed: int, cuts: int) -> Tally:
    """Start the daemon and kill it, so often; what was found."""
    folder.mkdir(parents=True, exist_ok=True)
    chance, tally, notes = Random(seed), Tally(), set[str]()
    config, state = rehearsing(folder, _EVERY_S), folder / "state"
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
        manager.bind(str(folder / "notify"))
        for cut in range(cuts):
            before, _ = _stored(folder, tally)
            fed = _one_life(config, state, manager, chance.uniform(0.0, _LIFE_S), f"cut {cut}", notes)
            after, noted = _stored(folder, tally)
            tally.cuts += 1
            tally.in_the_start += not fed
            tally.beats_acknowledged += fed
            tally.beats_lost += max(0, fed - (after - before))
            if not notes <= noted:
                tally.broken.append(f"cut {cut}: notes lost: {sorted(notes - noted)}")
    return tally


def _one_life(
    config: Path, state: Path, manager: socket.socket, lasts_s: float, note: str, notes: set[str]
) -> int:
    """How often the watchdog was fed before the kill; a note that the inbox acknowledged is in `notes`."""
    heard: list[bytes] = []
    environ = {**surroundings(), "NOTIFY_SOCKET": manager.getsockname()}
    process = begin("run", "--config", config, "--state", state, folder=config.parent, env=environ)
    cut_at = time.monotonic() + lasts_s
    while (left := cut_at - time.monotonic()) > 0:
        manager.settimeout(left)
        with suppress(TimeoutError):
            heard.append(manager.recv(200))
        if b"READY=1" in heard and note not in notes:
            told = naupliad("care", "add", "--state", state, "cup", "note", "--detail", f"text={note}")
            if told.code == 0:
                notes.add(note)
    process.kill()
    process.communicate()
    manager.setblocking(False)
    with suppress(BlockingIOError):
        while True:
            heard.append(manager.recv(200))
    return heard.count(b"WATCHDOG=1")


def _stored(folder: Path, tally: Tally) -> tuple[int, set[str]]:
    """Whole beats and notes in a copy of the store."""
    copy = folder / "copy"
    shutil.rmtree(copy, ignore_errors=True)
    copy.mkdir()
    for name in ("station.db", "station.db-wal", "station.db-journal"):
        if (folder / "state" / name).exists():
            shutil.copy(folder / "state" / name, copy / name)
    if not (copy / "station.db").exists():
        return 0, set()
    with closing(sqlite3.connect(copy / "station.db")) as connection:
        if connection.execute("PRAGMA integrity_check").fetchall() != [("ok",)]:
            tally.broken.append("integrity")
        if not connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'reading'").fetchone():
            return 0, set()
        beats = connection.execute("SELECT at, count(*) FROM reading GROUP BY at").fetchall()
        notes = connection.execute("SELECT detail ->> 'text' FROM deed WHERE deed = 'note'").fetchall()
    if any(count != len(PROBES) for _, count in beats):
        tally.broken.append("half a beat")
    return len(beats), {row[0] for row in notes}
