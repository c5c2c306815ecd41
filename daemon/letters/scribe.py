"""Has the reports put into words what a letter has to say."""

import sqlite3
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from daemon.alarms.conditions import URGENT_C
from daemon.alarms.watch import Watch
from daemon.letter_kinds import LETTER_KINDS
from daemon.letters.absences import Absences
from daemon.letters.batch_letters import BatchLetters
from daemon.letters.conversions import setting
from daemon.letters.lamps import Lamps
from daemon.letters.outlooks import Outlooks
from daemon.letters.said_last import said_last
from daemon.letters.troubles import Troubles
from daemon.letters.warmth import Warmth
from daemon.letters.writers import Writer
from daemon.station import Station, Vessel
from daemon.store import boots as boot_store
from daemon.watching.beliefs import Beliefs
from reports.records import LetterText


class Scribe:
    """Writes the letters about vessels and the station; what no longer stands is not written about."""

    def __init__(
        self,
        station: Station,
        connection: sqlite3.Connection,
        beliefs: Beliefs,
        watch: Watch,
        batches: BatchLetters,
        free_bytes: Callable[[], int],
    ) -> None:
        """Write of what these know; `free_bytes` is the room left where the store stands."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        known = (station, connection, beliefs)
        outlooks = Outlooks(*known, batches)
        self._absences = Absences(*known, outlooks)
        # Each subject knows who writes the letters of its kinds.
        lamps = Lamps(*known, watch)
        self._warmth = Warmth(*known, watch, lamps)
        subjects = (self._warmth, lamps, Troubles(*known, watch, free_bytes), outlooks, self._absences)
        self._writers: dict[str, Writer] = {
            k: w for subject in subjects for k, w in subject.writers().items()
        }

    @property
    def kinds(self) -> frozenset[str]:
        """The kinds it writes."""
        return frozenset(self._writers)

    @property
    def advised_above_ml(self) -> Mapping[str, float]:
        """How far above the mark the last leave letter advised to fill, by vessel."""
        return self._absences.advised_above_ml

    def letter(
        self, kind: str, about: Sequence[str], at: int, also: tuple[str, ...] = ()
    ) -> LetterText | None:
        """The letter of a kind about some vessels, or None when there is nothing left to say."""
        sure = boot_store.is_sure_now(self._connection)
        place = setting(self._station, self._connection, at, clock_sure=sure)
        vessels = self._vessels(about)
        stages = LETTER_KINDS[kind].stages
        concerned = [v for v in vessels if self._beliefs.state(v.id, at).stage in stages]
        if vessels and stages and not concerned:
            return None
        place = replace(place, also=also, said_last=said_last(self._connection, kind, at))
        return self._writers[kind](place, concerned, at)

    def heated(self) -> dict[str, bool]:
        """Of each vessel, whether a heater is believed in: one that was given, or that the water showed."""
        return {vessel.id: self._beliefs.of(vessel.id).has_heater for vessel in self._station.vessels}

    def about(self, kind: str, about: Sequence[str], at: int) -> list[str]:
        """What a letter about these vessels tells of: those at a stage for it, as where no batch was ended
        meanwhile; of cold and heat also those that go the same way in the room with them.
        """
        stages = LETTER_KINDS[kind].stages
        silent = {v.id for v in self._vessels(about) if self._beliefs.state(v.id, at).stage not in stages}
        about = [name for name in about if name not in silent] or about
        if kind not in ("cold", "hot") or not self._warmth.any_beyond(kind, self._vessels(about), at):
            return sorted(about)
        everyone = self.urgent(kind, about, at)  # heat past what animals bear is told of all that are hot
        return sorted({*about, *self._warmth.beyond(kind, raised=everyone)})

    def waits(self, kind: str, about: Sequence[str]) -> bool:
        """Whether a letter with nothing to say now may have it in a while: its alarm still stands."""
        return self._warmth.passing(kind, self._vessels(about))

    def urgent(self, kind: str, about: Sequence[str], at: int) -> bool:
        """Whether somebody else should hear of it too: heat past what the animals bear."""
        return any(
            hot.extreme_c > URGENT_C
            for vessel in (self._vessels(about) if kind == "hot" else ())
            if (hot := self._warmth.temperature(kind, vessel, at))
        )

    def _vessels(self, about: Sequence[str]) -> list[Vessel]:
        return [vessel for vessel in self._station.vessels if vessel.id in about]
