"""The last word: a letter that goes by no store, when the disk takes no writes and nothing can be watched.

What was said is remembered where it costs no disk (systemd's runtime folder, gone with the next start of the
machine), since a daemon that cannot write is started again and again.
"""

import json
import logging
import sqlite3
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing, suppress
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from daemon.clock import Clock
from daemon.errors import NaupliadError
from daemon.letters.conversions import local, setting
from daemon.letters.letter_queue import unnumbered
from daemon.post.carrier import Carrier, Outgoing, retry_at
from daemon.seconds import DAY_S
from daemon.station import Station
from daemon.store import readings as reading_store
from daemon.store.file import open_for_reading
from daemon.store.mishaps import CardFailure
from reports.letters.memory_card import CardFailed, LastRead, card_failed_letter
from sensors.reading import Measure

log = logging.getLogger(__name__)

_NAME = "card-failed.json"
_AGAIN_S = DAY_S
# A disk that takes writes for so long is well, not only well for a moment (judgement, no source).
_WELL_AFTER_S = 600


@dataclass(frozen=True, slots=True)
class Said:
    """What is remembered of a disk that fails: how it was found when (Unix seconds), how often since.

    Moments end in `_s`: the kernel's monotonic seconds, which a wrong clock does not move.
    """

    found: str
    began: int
    times: int = 0
    tries: int = 0
    tried_s: float | None = None
    said_s: float | None = None

    @property
    def failure(self) -> CardFailure:
        """As the store remembers it."""
        return CardFailure(self.found, self.began)


class Memory:
    """Keeps what was said from one start to the next, where there is a folder for that."""

    def __init__(self, environ: Mapping[str, str]) -> None:
        """`environ` holds RUNTIME_DIRECTORY where systemd gives one; several are joined by colons."""
        folder = environ.get("RUNTIME_DIRECTORY", "").split(":")[0]
        self._path = Path(folder, _NAME) if folder else None
        self._said: Said | None = None
        if self._path is not None:
            with suppress(OSError, ValueError, TypeError):
                self._said = Said(**json.loads(self._path.read_text(encoding="utf-8")))

    @property
    def said(self) -> Said | None:
        """What is known of a disk that fails, or failed last."""
        return self._said

    def keep(self, said: Said) -> None:
        """Remember."""
        self._said = said
        if self._path is not None:
            with suppress(OSError):
                part = self._path.with_suffix(".part")
                part.write_text(json.dumps(asdict(said)), encoding="utf-8")
                part.replace(self._path)

    def forget(self) -> None:
        """The disk is well."""
        self._said = None
        if self._path is not None:
            with suppress(OSError):
                self._path.unlink(missing_ok=True)


class CardWell:
    """Hears of completed beats, and after ten minutes of them tells of a disk that is well again."""

    def __init__(self, memory: Memory, tell: Callable[[CardFailure, bool], None], clock: Clock) -> None:
        """`tell` gets what had been, and whether a letter had said so."""
        self._memory = memory
        self._tell = tell
        self._clock = clock
        self._since_s: float | None = None

    def after_beat(self, _at: int) -> None:
        """A beat was completed: the disk took it."""
        said = self._memory.said
        if said is None:
            return
        now = self._clock.monotonic_s()
        if self._since_s is None:
            self._since_s = now
        if now - self._since_s >= _WELL_AFTER_S:
            self._tell(said.failure, said.said_s is not None)
            self._memory.forget()


class LastWord:
    """Says by every way out, once and then once a day, that nothing is watched."""

    def __init__(
        self,
        station: Station,
        carriers: Mapping[str, Carrier],
        memory: Memory,
        *,
        now_s: Callable[[], float] = time.time,
        monotonic_s: Callable[[], float] = time.monotonic,
    ) -> None:
        """`now_s` dates the letter, `monotonic_s` counts until it is said again."""
        self._station = station
        self._carriers = carriers
        self._memory = memory
        self._now_s = now_s
        self._monotonic_s = monotonic_s

    def failed(self, found: str) -> int:
        """Remember that the disk failed once more; how often in a row."""
        before = self._memory.said or Said(found, round(self._now_s()))
        said = replace(before, found=found, times=before.times + 1)
        self._memory.keep(said)
        return said.times

    def say(self, last_read: Sequence[LastRead], before_each: Callable[[], None] = lambda: None) -> None:
        """Send the letter if its time has come; what does not go is tried again, more and more rarely.

        `before_each` is called before every way out is tried, which may take two minutes.
        """
        said = self._memory.said
        if said is None or not self._is_due(said):
            return
        letter = self._letter(said, last_read)
        gone = False
        for name, carrier in self._carriers.items():
            before_each()
            try:
                carrier.carry(letter)
                gone = True
            except NaupliadError as error:
                log.warning("the letter that nothing is watched did not go (%s): %s", name, error)
        now = self._monotonic_s()
        tries = 0 if gone else said.tries + 1
        self._memory.keep(replace(said, tries=tries, tried_s=now, said_s=now if gone else said.said_s))

    def _is_due(self, said: Said) -> bool:
        now = self._monotonic_s()
        if said.tries and said.tried_s is not None:
            return not 0 <= now - said.tried_s < retry_at(said.tries, 0)
        return said.said_s is None or not 0 <= now - said.said_s < _AGAIN_S

    def _letter(self, said: Said, last_read: Sequence[LastRead]) -> Outgoing:
        at = round(self._now_s())
        trouble = CardFailed(local(self._station, said.began), said.found, tuple(last_read))
        text = card_failed_letter(setting(self._station, None, at), trouble)
        return unnumbered(self._station, text, at)


def last_reads(station: Station, connection: sqlite3.Connection, vessels: Sequence[str]) -> list[LastRead]:
    """What the water of some vessels was when it was last read well."""
    known = []
    for vessel in station.vessels:
        plan = station.probe_of(vessel, Measure.WATER_C)
        reading = plan and reading_store.latest(connection, plan.id, good=True)
        if reading and reading.value is not None and vessel.id in vessels:
            known.append(LastRead(vessel.id, vessel.count, reading.value, local(station, reading.at)))
    return known


def last_reads_in(station: Station, state: Path) -> list[LastRead]:
    """The same of all vessels, as far as a store can be read that cannot be opened for writing."""
    with suppress(NaupliadError, sqlite3.Error), closing(open_for_reading(state)) as connection:
        return last_reads(station, connection, [vessel.id for vessel in station.vessels])
    return []
