"""One station whose power is cut again and again, and what must be true after every cut."""

import asyncio
import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field, fields
from email import message_from_bytes, policy
from pathlib import Path
from random import Random
from typing import Any

from tests.kit.checkout import ROOT
from tests.kit.command_line import surroundings, until
from tests.kit.cut_life import PROBES, value_at
from tests.kit.lost_writes import Disk
from tests.kit.mail_server import Desk, mail_servers
from tests.kit.station import post, station_text

EVERY_S = 60
_BEGAN = 1_800_000_000  # 2027-01-15 08:00 UTC, a Friday
_FIRST_NIGHT = _BEGAN + 13 * 3600  # however slow the machine, the nightly letter of 20:00 comes
# A cut comes this long after the start at most; one that is aimed at the post waits longer for a letter.
_LIFE_S = 0.4
_POST_S = 2.0


@dataclass
class Tally:
    """What was counted; the last five must be empty or nought."""

    cuts: int = 0
    in_the_start: int = 0
    at_the_post: int = 0
    writes_lost: int = 0
    beats_begun: int = 0
    beats_acknowledged: int = 0
    beats_lost_unacknowledged: int = 0
    letters_sent: int = 0
    letters_told_again: int = 0
    beats_a_card_lied_about: int = 0
    stores_set_aside: int = 0
    beats_lost: int = 0
    letters_lost: int = 0
    letters_doubled: int = 0
    broken: list[str] = field(default_factory=list)

    def add(self, other: "Tally") -> None:
        for one in fields(self):
            setattr(self, one.name, getattr(self, one.name) + getattr(other, one.name))

    @property
    def held(self) -> bool:
        return not (self.beats_lost or self.letters_lost or self.letters_doubled or self.broken)


class Nursery:
    """A process that forks station processes; see tests/kit/cut_life.py."""

    def __init__(self, shim: Path | None) -> None:
        environ = {**surroundings(), **({"LD_PRELOAD": str(shim)} if shim else {})}
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.kit.cut_life"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env=environ,
            cwd=ROOT,
        )

    def bear(self, told: dict[str, Any]) -> int:
        """Start a life; its process id."""
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps(told) + "\n")
        self._process.stdin.flush()
        return int(self._line())

    def ended(self) -> int:
        """Wait until the life is over; its exit code, or minus the signal's number."""
        return int(self._line())

    def close(self) -> None:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.close()
        self._process.wait(30)
        self._process.stdout.close()

    def _line(self) -> str:
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        assert line, "the nursery ended"
        return line


@contextmanager
def nursery(shim: Path | None = None) -> Iterator[Nursery]:
    one = Nursery(shim)
    try:
        yield one
    finally:
        one.close()


class CountedDesk(Desk):
    """A mail desk that takes a moment over each letter and says when it has one."""

    def __init__(self) -> None:
        super().__init__()
        self.has_one = threading.Event()

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:  # noqa: N802  # as in Desk
        said = await super().handle_DATA(server, session, envelope)
        self.has_one.set()
        await asyncio.sleep(0.02)  # taken, not yet said so: the moment at which a cut doubles a letter
        return said


class CutStation:
    """A station in a folder, and all that is known of it from outside."""

    def __init__(
        self,
        folder: Path,
        seed: int,
        born: Nursery,
        *,
        forgetful: bool = False,
        durable: bool = True,
        lying: bool = False,
        least_beats: int = 0,
    ) -> None:
        """`forgetful`: what was not synced may be gone after a cut; the nursery has the shim then.

        `lying`: and some of what was synced. Then beats and letters may be lost, and a store be broken; but
        the station must start every time, and say which stores it set aside.

        No cut comes before a life's first `least_beats` beats.
        """
        self._least_beats = least_beats
        self.tally = Tally()
        self._folder, self._state, self._nursery = folder, folder / "state", born
        self._chance = Random(seed)
        self._forgetful, self._durable, self._seed = forgetful or lying, durable, seed
        self._lying = lying
        self._acknowledged: set[int] = set()
        self._at = _BEGAN
        self._lives = 0
        self._state.mkdir(parents=True)

    def suffer(self, cuts: int, *, till_missed: bool = False) -> Tally:
        """Cut the power so often, then let the station run to the end of its letters; what was found.

        `till_missed`: where chance has cut only between writes, go on (ten times as often at most) until a
        write was lost.
        """
        desk = CountedDesk()
        with mail_servers() as start:
            server = start(desk, "plain-on-loopback")
            self._write_config(server.smtp_port)
            for done in range(10 * cuts if till_missed else cuts):
                if done >= cuts and self.tally.writes_lost:
                    break
                self._cut(desk)
            self._finish()
        if self._lying:
            self._judge_set_aside()
        else:
            self._judge_letters(desk)
        return self.tally

    def _write_config(self, port: int) -> None:
        text = station_text(driver="rehearsal", name=f"Room {self._seed}", every_s=EVERY_S, zone="UTC")
        text += "\n" + post(port, "127.0.0.1")
        (self._folder / "station.toml").write_text(text, encoding="utf-8")

    def _told(self, **more: Any) -> dict[str, Any]:
        self._lives += 1
        for name in ("diary", "log"):
            (self._folder / name).unlink(missing_ok=True)
        return {
            "state": str(self._state),
            "config": str(self._folder / "station.toml"),
            "began": self._at,
            "life": f"life {self._lives}",
            "diary": str(self._folder / "diary"),
            "log": str(self._folder / "log"),
            "durable": self._durable,
            **more,
        }

    def _cut(self, desk: CountedDesk) -> None:
        disk = Disk(self._state) if self._forgetful else None
        aimed = self._chance.random() < 0.15
        after_s = self._chance.uniform(0.0, 0.03 if aimed else _LIFE_S)
        desk.has_one.clear()
        process = self._nursery.bear(self._told())
        if aimed and desk.has_one.wait(_POST_S):
            self.tally.at_the_post += 1
        until("the first beats", lambda: self._has_beaten() or not Path(f"/proc/{process}").exists())
        time.sleep(after_s)
        _kill(process)
        code = self._nursery.ended()
        if code != -signal.SIGKILL:
            self.tally.broken.append(f"station {self._seed}, life {self._lives}: ended by itself with {code}")
        self.tally.cuts += 1
        if disk is not None:
            log = self._folder / "log"
            self.tally.writes_lost += disk.cut_power(log, self._chance, lying=self._lying)
        self._judge_store()
        self._at += self._chance.choice((EVERY_S, 2 * EVERY_S, 3600))

    def _has_beaten(self) -> bool:
        return len(self._diary()["done"]) >= self._least_beats

    def _finish(self) -> None:
        self._nursery.bear(self._told(until=max(self._at + 3600, _FIRST_NIGHT)))
        code = self._nursery.ended()
        if code != 0:
            self.tally.broken.append(f"station {self._seed}: the last life ended with {code}")
        self._judge_store()

    def _diary(self) -> dict[str, list[int]]:
        told: dict[str, list[int]] = {"up": [], "begun": [], "done": []}
        path = self._folder / "diary"
        for line in path.read_text(encoding="ascii").splitlines() if path.exists() else ():
            word, _, at = line.partition(" ")
            told[word].append(int(at))
        return told

    def _judge_store(self) -> None:
        diary = self._diary()
        self.tally.in_the_start += not diary["up"]
        self.tally.beats_begun += len(diary["begun"])
        self.tally.beats_acknowledged += len(diary["done"])
        self._acknowledged.update(diary["done"])
        stored = self._stored()
        lost = self._acknowledged - stored
        self._acknowledged -= lost  # told once
        if self._lying:
            self.tally.beats_a_card_lied_about += len(lost)
            self._at = max([self._at, *diary["begun"]])
            return
        self.tally.beats_lost += len(lost)
        under_way = [at for at in diary["begun"] if at not in stored and at not in lost]
        self.tally.beats_lost_unacknowledged += len(under_way)
        if len(under_way) > 1:
            self._broken(f"{len(under_way)} beats lost at one cut")
        self._at = max([self._at, *diary["begun"]])

    def _stored(self) -> set[int]:
        """The beats in a copy of the store: the daemon itself shall find the log as the cut left it."""
        copy = self._folder / "copy"
        shutil.rmtree(copy, ignore_errors=True)
        copy.mkdir()
        for name in ("station.db", "station.db-wal", "station.db-journal"):
            if (self._state / name).exists():
                shutil.copy(self._state / name, copy / name)
        if not (copy / "station.db").exists():
            return set()
        try:
            with closing(sqlite3.connect(copy / "station.db")) as connection:
                found = connection.execute("PRAGMA integrity_check").fetchall()
                if found != [("ok",)] and not self._lying:
                    self._broken(f"integrity: {found[:3]}")
                if not connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'reading'").fetchone():
                    return set()
                rows = connection.execute("SELECT at, probe, value FROM reading").fetchall()
        except sqlite3.DatabaseError as error:
            if not self._lying:
                self._broken(f"the store does not open: {error}")
            return set()
        return self._whole_beats(rows)

    def _whole_beats(self, rows: list[tuple[int, str, float]]) -> set[int]:
        probes: dict[int, set[str]] = {}
        for at, probe, value in rows:
            probes.setdefault(at, set()).add(probe)
            if value != value_at(at, probe):
                self._broken(f"{probe} at {at}: found {value}, was {value_at(at, probe)}")
        halves = [at for at, found in probes.items() if found != set(PROBES)]
        if halves and not self._lying:
            self._broken(f"half a beat at {halves}")
        return set(probes)

    def _judge_set_aside(self) -> None:
        """What was set aside is known to the store that took its place, and told."""
        kept = {path.name for path in self._state.glob("*.broken-*") if not path.name.endswith("-wal")}
        self.tally.stores_set_aside += len(kept)
        with closing(sqlite3.connect(self._state / "station.db")) as connection:
            if connection.execute("PRAGMA integrity_check").fetchall() != [("ok",)]:
                self._broken("the last store is not whole")
            known = {name for (name,) in connection.execute("SELECT kept_as FROM store_set_aside")}
            said = connection.execute("SELECT 1 FROM letter WHERE kind = 'storage'").fetchone()
        if not kept <= known or (kept and said is None):
            self._broken(f"nothing is said of {sorted(kept - known) or sorted(kept)}")

    def _judge_letters(self, desk: Desk) -> None:
        with closing(sqlite3.connect(self._state / "station.db")) as connection:
            rows = connection.execute(
                "SELECT number, kind, at, state, message FROM letter WHERE number IS NOT NULL ORDER BY number"
            ).fetchall()
        written = {_id_of(row[4]): row for row in rows}
        came = Counter(_id_of(message) for _, _, message in desk.taken)
        self.tally.letters_sent += sum(row[3] == "sent" for row in rows)
        self.tally.letters_told_again += sum(count - 1 for count in came.values())
        self.tally.letters_lost += sum(
            row[3] not in ("sent", "merged") or (row[3] == "sent" and name not in came)
            for name, row in written.items()
        )
        # One that came and is not in the store will be written again, under another id.
        self.tally.letters_doubled += len(came.keys() - written.keys()) + len(rows) - len(written)
        nights = Counter(row[2] // 86_400 for row in rows if row[1] == "nightly")
        self.tally.letters_doubled += sum(count - 1 for count in nights.values())
        if [row[0] for row in rows] != list(range(1, len(rows) + 1)):
            self._broken(f"letters are numbered {[row[0] for row in rows]}")

    def _broken(self, what: str) -> None:
        self.tally.broken.append(f"station {self._seed}, life {self._lives}: {what}")


def _id_of(message: bytes) -> str:
    return str(message_from_bytes(message, policy=policy.default)["Message-ID"])


def _kill(process: int) -> None:
    """Kill a life and all it has started. It is not waited for yet, so its id is nobody else's."""
    try:
        os.killpg(process, signal.SIGKILL)
    except ProcessLookupError:  # it has not made its own group yet
        with suppress(ProcessLookupError):  # or has ended by itself, which its exit code will say
            os.kill(process, signal.SIGKILL)
