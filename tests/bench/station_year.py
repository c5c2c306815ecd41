"""A year of a station, played: `python -m tests.bench.station_year [--days 400]`. Nothing is judged.

The daemon as in tests/bench/week.py, eight probes and four cups, on real files and with real mail, and never
stopped: batches of two weeks in term time, top-ups on school days, holidays when nobody is there, one of them
with two cups left standing; a chart each night, a backup each day, and thinning once the first days are old.
At each look its memory, handles and store; from the first month on copies of its folder are started: by the
snapshot as it stands, by that of a clean stop, by none. On a quiet machine a day takes four to six seconds.
"""

import argparse
import json
import math
import shutil
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

from daemon.store.backup import BACKUPS, back_up, fault_of
from daemon.watching.snapshot.file import FILE_NAME as SNAPSHOT
from tests.bench.measuring import compile_all, cpu_s, handles, machine, memory, table, threads
from tests.kit.busy_shelf import BEGAN, DAY_S, EVERY_S, Shelf, Tree
from tests.kit.led import Led, led
from tests.kit.mail_server import Desk, mail_servers

_LOOKS = (1, 7, 30, *range(91, 4000, 91))
_STARTS_FROM_DAY = 30
_HEAD = (
    *("day", "resident", "own", "handles", "threads", "objects", "store MB", "backups", "letters"),
    *("start: cut", "stopped", "anew"),
)

# A made-up school's terms, Monday to Friday; between them nobody is there.
_TERMS = tuple(
    (date.fromisoformat(first), date.fromisoformat(last))
    for first, last in (
        ("2027-01-18", "2027-02-12"),
        ("2027-02-22", "2027-03-26"),
        ("2027-04-12", "2027-07-16"),
        ("2027-08-30", "2027-10-15"),
        ("2027-11-01", "2027-12-17"),
        ("2028-01-10", "2028-03-31"),
        ("2028-04-17", "2028-07-14"),
    )
)
_LEFT_STANDING = {(date(2027, 10, 15), 0), (date(2027, 10, 15), 1)}  # the last day before, and the cup
_CLEARED_AWAY = {(date(2027, 11, 1), 0), (date(2027, 11, 1), 1)}


@dataclass(frozen=True, slots=True)
class School(Shelf):
    """The busy shelf in a school with holidays, whose readings stay whole for so many days."""

    keeps_days: int

    def station_text(self, *, every_s: int = EVERY_S, smtp_port: int | None = None) -> str:
        """The station file, with its holidays."""
        day = timedelta(days=1)
        away = [f"{ended + day}/{begins - day}" for (_, ended), (begins, _) in pairwise(_TERMS)]
        text = Shelf.station_text(self, every_s=every_s, smtp_port=smtp_port)
        more = f"keep_readings_days = {self.keeps_days}\naway = {json.dumps(away)}\n"
        return text.replace("[station]\n", f"[station]\n{more}", 1)

    def deeds(self, after: int, until: int) -> Iterator[dict[str, Any]]:
        """What people record in a stretch of time."""
        for at in range(after // EVERY_S * EVERY_S + EVERY_S, until + 1, EVERY_S):
            if at % 900 == 0:
                yield from self._at(datetime.fromtimestamp(at, UTC))

    def _at(self, when: datetime) -> Iterator[dict[str, Any]]:
        term = next(((first, last) for first, last in _TERMS if first <= when.date() <= last), None)
        if term is None or when.weekday() > 4:
            return
        for cup in range(self.cups):
            for words in _deeds_of(cup, when, *term):
                yield {"ask": "record", "vessel": f"cup-{cup}", **words}


def _shown_c(at: int, cup: int, what: str) -> float:
    """A day's swing, a year's, and a flicker of sixteenths: nothing is ever stuck, and nothing jumps."""
    day, year = (math.sin(2 * math.pi * (at - BEGAN - 3 * 3600) / (days * DAY_S)) for days in (1, 365))
    flicker = (at // EVERY_S * 7 + cup) % 3 / 16
    return (24.5 + 0.3 * cup + day + year if what == "water" else 20.5 + 1.5 * day + 2.0 * year) + flicker


def _deeds_of(cup: int, when: datetime, first: date, last: date) -> Iterator[dict[str, Any]]:
    today, clock = when.date(), f"{when:%H:%M}"
    week = (today - first).days // 7
    ends = today.weekday() == 4 and (week % 2 == 1 or today == last)
    if clock == "08:30" and (today, cup) in _CLEARED_AWAY:
        yield {"deed": "end"}
    elif clock == "09:00" and today.weekday() == 0 and week % 2 == 0:
        yield {"deed": "set", "amount": "0.05", "unit": "g", "detail": "salt_g_per_l=25; lot=bench"}
    elif clock == "14:00" and today.weekday() == 1 and week % 2 == 0:
        yield {"deed": "first-swimmer"}
    elif clock == "14:00" and not ends:
        yield {"deed": "top-up", "amount": "12", "unit": "ml", "detail": "to=mark"}
    elif clock == "15:00" and ends and (today, cup) not in _LEFT_STANDING:
        yield {"deed": "end"}


@dataclass(frozen=True)
class Start:
    """From a process's start to its first beat: passed and of the processor, in s; then its memory, MiB."""

    passed_s: float
    cpu_s: float
    resident: float

    def __str__(self) -> str:
        return f"{self.cpu_s:.2f} ({self.passed_s:.2f})"


Again = Callable[[Path, int], AbstractContextManager[Led]]


def _start(life: Led, copy: Path, again: Again, at: int, *, kept: bool) -> Start:
    """Start a daemon in `copy` of a station's folder, made where it is not there, and stop it."""
    if not copy.exists():
        left_out = shutil.ignore_patterns("*.sock", BACKUPS, "journal", "w1")
        shutil.copytree(life.state.parent, copy, ignore=left_out)
    if not kept:
        (copy / "state" / SNAPSHOT).unlink(missing_ok=True)
    began = time.monotonic()
    with again(copy, at) as other:
        passed = time.monotonic() - began
        assert _of_store(other.state, "SELECT max(at) FROM reading") == [(at,)], "it has not beaten yet"
        found = Start(passed, cpu_s(other.pid)[0], memory(other.pid).resident)
        other.stop()
    return found


def _starts(life: Led, again: Again, every_s: int) -> list[Start]:
    """By the snapshot as it stands, as after a power cut; by that of a clean stop; by none."""
    folder, at = life.state.parent, life.at + every_s
    cut, anew = folder.with_name("cut"), folder.with_name("anew")
    try:
        by_cut = _start(life, cut, again, at, kept=True)
        by_stop = _start(life, cut, again, at + every_s, kept=True)
        return [by_cut, by_stop, _start(life, anew, again, at, kept=False)]
    finally:
        shutil.rmtree(cut, ignore_errors=True)
        shutil.rmtree(anew, ignore_errors=True)


def _of_store(state: Path, words: str, *told: object) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(f"file:{state / 'station.db'}?mode=ro", uri=True)) as connection:
        return connection.execute(words, told).fetchall()


def _row(life: Led, letters: int, starts: list[Start]) -> list[str]:
    found, store = memory(life.pid), (life.state / "station.db").stat().st_size
    backups = sorted((life.state / BACKUPS).glob("*.db")) if (life.state / BACKUPS).is_dir() else []
    return [
        f"{(life.at - BEGAN) / DAY_S:.0f}",
        f"{found.resident:.1f}",
        f"{found.own:.1f}",
        *map(str, (handles(life.pid), threads(life.pid), life.objects())),
        f"{store / 1e6:.1f}",
        str(len(backups)),
        str(letters),
        *(map(str, starts) if starts else ("", "", "")),
    ]


def _thinning(state: Path, at: int, every_s: int, shelf: School) -> str:
    """Whether readings older than the limit are one a probe and hour, and all others there."""
    until = _of_store(state, "SELECT coalesce(max(until), 0) FROM thinned WHERE what = 'reading'")[0][0]
    cells, most = _of_store(
        state,
        "SELECT count(*), max(n) FROM (SELECT count(*) AS n FROM reading WHERE at < ? "
        "GROUP BY probe, (at + 1800) / 3600)",
        until,
    )[0]
    ((left, first),) = _of_store(state, "SELECT count(*), min(at) FROM reading WHERE at >= ?", until)
    hours = (until - BEGAN) // 3600 if until else 0
    due = ((at - first) // every_s + 1) * shelf.probes
    return (
        f"thinned up to day {max(until - BEGAN, 0) / DAY_S:.2f} of {(at - BEGAN) / DAY_S:.2f} "
        f"(kept whole: {shelf.keeps_days} days): {cells} readings in {hours} hours of {shelf.probes} "
        f"probes, at most {most or 0} a probe and hour; after that {left} readings of {due} due"
    )


def _backups(state: Path) -> str:
    files = sorted((state / BACKUPS).glob("*.db"))
    faults = [f"{one.name}: {fault}" for one in files if (fault := fault_of(one))]
    sizes = ", ".join(f"{one.stat().st_size / 1e6:.1f}" for one in files)
    return f"{len(files)} backups, MB: {sizes}; not whole: {', '.join(faults) or 'none'}"


def main() -> None:
    """Play, a row a look; then letters, thinning and backups."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--days", type=int, default=400)
    asked.add_argument("--every", type=int, default=120, help="seconds between two beats")
    asked.add_argument("--keep", type=int, default=300, help="days for which readings stay whole")
    told = asked.parse_args()
    compile_all()
    print(machine(), flush=True)
    rows: list[list[str]] = []
    with tempfile.TemporaryDirectory(prefix="naupliad-year-") as name, mail_servers() as start:
        folder, desk, shelf = Path(name) / "station", Desk(), School(4, told.keep)
        folder.mkdir()
        port = start(desk, "plain-on-loopback").smtp_port
        tree = Tree(folder / "w1", shelf, _shown_c)

        def begun(where: Path, at: int) -> AbstractContextManager[Led]:
            return led(where, shelf, tree, port, began=at, every_s=told.every)

        def backed_up(at: int) -> None:
            if at % DAY_S == 3 * 3600:  # as systemd's timer does it
                today = datetime.fromtimestamp(at, UTC).date()
                back_up(folder / "state", folder / "state" / BACKUPS, today)

        with begun(folder, BEGAN) as life:
            rows.append(_row(life, 0, []))
            for day in sorted({*(day for day in _LOOKS if day < told.days), told.days}):
                life.play(tree, BEGAN + day * DAY_S, each=backed_up)
                letters = _of_store(life.state, "SELECT count(*) FROM letter")[0][0]
                starts = _starts(life, begun, told.every) if day >= _STARTS_FROM_DAY else []
                rows.append(_row(life, letters, starts))
                print("  ".join(rows[-1]), flush=True)
            life.stop()
        state = folder / "state"
        print(table(_HEAD, rows))
        print("start: s of the processor (and passed), from the process's start to its first beat")
        kinds = _of_store(state, "SELECT kind, count(*) FROM letter GROUP BY kind ORDER BY 2 DESC")
        print("letters:", ", ".join(f"{kind} {count}" for kind, count in kinds))
        print(_thinning(state, life.at, told.every, shelf))
        print(_backups(state))


if __name__ == "__main__":
    main()
