"""What the daemon's store says of the probes: it has watched them for longer than one reading."""

import socket
import sqlite3
from collections.abc import Mapping
from contextlib import closing, suppress
from dataclasses import dataclass, field
from datetime import datetime, tzinfo
from pathlib import Path

from daemon.commissioning.probes.distrust import Distrust, distrust_of_course
from daemon.errors import NaupliadError
from daemon.seconds import DAY_S
from daemon.station import Station
from daemon.store import doubts as doubt_store
from daemon.store import readings as reading_store
from daemon.store.file import open_for_reading
from sensors.reading import Quality, Reading

_FRESH_S = 900
_JUDGED = (Quality.JUMP, Quality.STUCK, Quality.IN_AIR)


@dataclass(frozen=True, slots=True)
class CourseJudgement:
    """How the daemon judged the course of a probe that it does not trust, and why."""

    quality: Quality
    distrust: Distrust


@dataclass(frozen=True, slots=True)
class ProbeHistory:
    """The newest reading of each probe, since when its quality is the same, and whether a daemon runs.

    `doubts` say what is strange about a probe that is trusted.
    """

    newest: Mapping[str, Reading]
    since: Mapping[str, int]
    daemon_runs: bool
    zone: tzinfo | None = None
    doubts: Mapping[str, str] = field(default_factory=dict)

    def judgement(self, probe: str) -> CourseJudgement | None:
        """How the probe's newest reading was judged by its course; None where it was not."""
        reading = self.newest.get(probe)
        if reading is None or reading.quality not in _JUDGED:
            return None
        distrust = distrust_of_course(reading.quality)
        since = f"{distrust.why} (by the daemon, since {self.clock(self.since[probe])})"
        return CourseJudgement(reading.quality, Distrust(since, distrust.remedy))

    def clock(self, at: int) -> str:
        """A moment as a local time of day."""
        return datetime.fromtimestamp(at, self.zone).strftime("%H:%M")


NO_HISTORY = ProbeHistory({}, {}, daemon_runs=False)


def history_in(state: Path, inbox: Path, now: int, station: Station | None) -> ProbeHistory:
    """What a state folder holds of the last readings; nothing where it cannot be read or they are old."""
    fresh_s = max(_FRESH_S, 2 * station.sample_every_s) if station else _FRESH_S
    try:
        with closing(open_for_reading(state)) as connection:
            newest, since = _newest(connection, now, fresh_s)
            doubts = {probe: doubt for probe, (_, doubt) in doubt_store.standing(connection, now).items()}
    except (NaupliadError, sqlite3.Error, OSError):
        newest, since, doubts = {}, {}, {}
    return ProbeHistory(newest, since, _listens(inbox), station.timezone if station else None, doubts)


def _newest(
    connection: sqlite3.Connection, now: int, fresh_s: int
) -> tuple[dict[str, Reading], dict[str, int]]:
    newest: dict[str, Reading] = {}
    since: dict[str, int] = {}
    for reading in reading_store.between(connection, now - DAY_S, now):
        before = newest.get(reading.probe)
        if before is None or before.quality is not reading.quality:
            since[reading.probe] = reading.at
        newest[reading.probe] = reading
    return {probe: reading for probe, reading in newest.items() if now - reading.at <= fresh_s}, since


def _listens(inbox: Path) -> bool:
    """Whether a daemon listens there."""
    with suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as line:
        line.settimeout(1.0)
        line.connect(str(inbox))
        return True
    return False
