"""Has the reports put into words what a letter has to say."""

import sqlite3
from collections.abc import Sequence
from dataclasses import replace
from typing import Protocol

from daemon.alarms.conditions import URGENT_C
from daemon.letters.conversions import setting
from daemon.letters.warmth import Warmth
from daemon.letters.writers import Writer
from daemon.station import Station, Vessel
from daemon.store import boots as boot_store
from reports.records import LetterText


class Subject(Protocol):
    """Knows of a subject what letters tell."""

    def writers(self) -> dict[str, Writer]:
        """Who writes the letter of each of its kinds."""


class Scribe:
    """Writes the letters about vessels; what no longer stands is not written about."""

    def __init__(
        self, station: Station, connection: sqlite3.Connection, warmth: Warmth, others: Sequence[Subject]
    ) -> None:
        """Write about what `warmth` and the `others` find, each of its own kinds."""
        self._station = station
        self._connection = connection
        self._warmth = warmth
        self._writers = {kind: w for subject in (warmth, *others) for kind, w in subject.writers().items()}

    @property
    def kinds(self) -> frozenset[str]:
        """The kinds it writes."""
        return frozenset(self._writers)

    def letter(
        self, kind: str, about: Sequence[str], at: int, also: tuple[str, ...] = ()
    ) -> LetterText | None:
        """The letter of a kind about some vessels, or None when there is nothing left to say."""
        place = setting(self._station, at, clock_sure=boot_store.is_sure_now(self._connection))
        return self._writers[kind](replace(place, also=also), self._vessels(about), at)

    def about(self, kind: str, about: Sequence[str], at: int) -> list[str]:
        """What a letter about these vessels tells of: those that go the same way in the room with them."""
        if kind not in ("cold", "hot") or not self._warmth.any_beyond(kind, self._vessels(about), at):
            return sorted(about)
        return sorted({*about, *self._warmth.beyond(kind)})

    def urgent(self, kind: str, about: Sequence[str], at: int) -> bool:
        """Whether somebody else should hear of it too: heat past what the animals bear."""
        return any(
            hot.extreme_c > URGENT_C
            for vessel in (self._vessels(about) if kind == "hot" else ())
            if (hot := self._warmth.temperature(kind, vessel, at))
        )

    def _vessels(self, about: Sequence[str]) -> list[Vessel]:
        return [vessel for vessel in self._station.vessels if vessel.id in about]
