"""Whether a letter about a trouble would say anything new: what was said of it, foreseen, or is usual."""

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from daemon.alarms import conditions
from daemon.alarms.cold_nights import UNLIKE_K, is_usual
from daemon.alarms.letter_timing import said_in_vain
from daemon.alarms.lifecycle import ACTIVE, State
from daemon.letters.cold_record import coming_since, nights_before
from daemon.seconds import DAY_S, HOUR_S, WEEK_S
from daemon.station import Station
from daemon.store import alarms as alarm_store
from daemon.store import deeds as deed_store
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.store.letters import LetterRow
from sensors.reading import Measure

# Longer than any delay of an alarm that is judged on readings, shorter than until it rings again.
_ONE_STRETCH_S = 6 * HOUR_S
# Water so much further beyond the limit than people read is news to them [P].
_WORSE_K = 3.0
# A forecast is of so many degrees; what comes within this of it was foreseen [P].
_FORESEEN_K = 1.0
_ONE_HEAT_S = 3 * HOUR_S  # a sill on which one cup after the other grows too hot is one matter [P]
# Of what comes again and again by itself, so many letters are enough [P]; low water and a failing probe are
# about what people did or left undone meanwhile.
_COMES_BY_ITSELF = ("hot", "cold", "lamp", "swing")
_ENOUGH = 3


@dataclass(frozen=True, slots=True)
class Trouble:
    """What a letter is to tell of: its kind, the vessels, the alarm that rang and how it stands.

    `since` is when it began, `value` what was measured (or believed) last; `worse` that it rang before and is
    much worse now; `by_day` that it outlasted the night. `condition` is empty where no alarm rang.
    """

    kind: str
    about: tuple[str, ...]
    at: int
    condition: str = ""
    probe: str = ""
    since: int | None = None
    value: float | None = None
    worse: bool = False
    by_day: bool = False

    @property
    def urgent(self) -> bool:
        """Whether it cannot wait."""
        return conditions.is_urgent(self.condition, self.value)

    @property
    def forecast(self) -> bool:
        """Whether it is only foreseen."""
        return self.condition.endswith("-ahead")


class SaidBefore:
    """Looks up what people have heard of a trouble."""

    def __init__(self, station: Station, connection: sqlite3.Connection) -> None:
        """In one station's store."""
        self._station = station
        self._connection = connection

    def same(self, trouble: Trouble, lately: Sequence[LetterRow]) -> list[LetterRow]:
        """The letters that told of this trouble, or are to: of the same probe, of the same vessels."""
        rows = [
            row
            for row in lately
            if row.kind == trouble.kind and set(trouble.about) <= set(row.about) and speaks(row)
        ]
        return [row for row in rows if not trouble.probe or self._told_of_probe(trouble, row)]

    def asked(self, trouble: Trouble) -> bool:
        """Whether the station file asks for it at any hour; a forecast can wait."""
        return trouble.kind in self._station.post.urgent and not trouble.forecast

    def nothing_new(self, trouble: Trouble, same: Sequence[LetterRow]) -> bool:
        """Whether who read these letters would learn nothing that they can act on; urgent is always new."""
        if trouble.urgent:
            return False
        if same and said_in_vain(self._station, trouble.at, max(map(when, same))):
            return True
        # One that still waits for the post says itself, when it goes, whether its trouble stands.
        if any(row.state == "queued" for row in same):
            return True
        if not trouble.worse and any(_said_with_others(row, trouble) for row in same):
            return True
        if trouble.worse and not self._worse_than_read(trouble, same):
            return True
        lately = [row for row in same if trouble.at - when(row) < DAY_S]
        if trouble.forecast and lately:
            return True
        return self._foreseen(trouble, lately) or self._usual(trouble) or self._told_enough(trouble, same)

    def of_heat_past_bearing(self, vessel: str, at: int) -> bool:
        """Whether a letter of the last hours was about a vessel, and about heat past what animals bear."""
        rows = letter_store.written_between(self._connection, at - _ONE_HEAT_S, at)
        return any(
            vessel in row.about and any(self._past_bearing(one, row.written_at or at) for one in row.about)
            for row in rows
            if row.kind == "hot"
        )

    def _past_bearing(self, vessel_id: str, at: int) -> bool:
        vessel = self._station.vessel(vessel_id)
        water = None if vessel is None else self._station.probe_of(vessel, Measure.WATER_C)
        read = [] if water is None else reading_store.good_values(self._connection, water.id, at - HOUR_S, at)
        return any(conditions.is_urgent("hot", value) for _, value in read[-1:])

    def _told_of_probe(self, trouble: Trouble, row: LetterRow) -> bool:
        """Whether a letter about these vessels spoke of this probe; one that is held will."""
        return row.state == "held" or any(
            self._stood(vessel, trouble.condition, trouble.probe, when(row)) for vessel in trouble.about
        )

    def _worse_than_read(self, trouble: Trouble, same: Sequence[LetterRow]) -> bool:
        """Whether the water is much further beyond the limit than when the last letter about this stretch of
        trouble went; so it is where none did.
        """
        vessel = self._station.vessel(trouble.about[0])
        water = None if vessel is None else self._station.probe_of(vessel, Measure.WATER_C)
        then = max((when(row) for row in same if when(row) >= (trouble.since or 0)), default=None)
        if then is None or water is None or trouble.value is None:
            return True
        read = reading_store.good_values(self._connection, water.id, then - HOUR_S, then)
        if not read:
            return True
        further = read[-1][1] - trouble.value
        return (further if trouble.kind == "cold" else -further) >= _WORSE_K

    def _foreseen(self, trouble: Trouble, lately: Sequence[LetterRow]) -> bool:
        """Whether a letter of the last day foresaw it, and it is no worse than that."""
        ahead = f"{trouble.condition}-ahead"
        if trouble.by_day or trouble.value is None or ahead not in conditions.CONDITIONS:
            return False
        (vessel,) = trouble.about
        for row in lately:
            foresaw = self._foresaw_c(vessel, ahead, when(row))
            if foresaw is None or self._stood(vessel, trouble.condition, "", when(row)):
                continue
            further = foresaw - trouble.value if trouble.kind == "cold" else trouble.value - foresaw
            if further <= _FORESEEN_K:
                return True
        return False

    def _foresaw_c(self, vessel: str, ahead: str, at: int) -> float | None:
        rows = [
            row
            for row in alarm_store.between(self._connection, at - DAY_S, at)
            if (row.vessel, row.condition) == (vessel, ahead) and State(row.state) in ACTIVE
        ]
        return rows[-1].value if rows else None

    def _usual(self, trouble: Trouble) -> bool:
        """Whether it is a cold night like those before, of which two letters told."""
        if trouble.by_day or trouble.value is None or trouble.kind != "cold":
            return False
        (vessel,) = trouble.about
        nights = nights_before(self._station, self._connection, vessel, trouble.at)
        if not is_usual(nights, trouble.value):
            return False
        told = letter_store.count_about(self._connection, "cold", vessel, nights[0].began)
        return told >= 2

    def _told_enough(self, trouble: Trouble, same: Sequence[LetterRow]) -> bool:
        """Whether it keeps coming, people heard of it often enough, and it is not clearly worse than all that
        was read until then. Where no nightly letter says it, they hear of it again after a week, and so they
        do of a batch that was set meanwhile.
        """
        if trouble.kind not in _COMES_BY_ITSELF or self.asked(trouble):
            return False
        began = trouble.at - WEEK_S
        if self._station.post.nightly:
            coming = coming_since(self._connection, trouble.kind, trouble.about[0], trouble.at)
            began = min(began, max(coming, self._set_at(trouble)))
        told = {when(row) for row in same if when(row) >= began}
        return len(told) >= _ENOUGH and not self._worse_than_any(trouble, began, max(told))

    def _set_at(self, trouble: Trouble) -> int:
        """When the last batch was set in its vessel; 0 where none was."""
        deeds = deed_store.between(self._connection, 0, trouble.at)
        sets = (deed.at for deed in deeds if deed.deed == "set" and deed.vessel == trouble.about[0])
        return max(sets, default=0)

    def _worse_than_any(self, trouble: Trouble, began: int, ended: int) -> bool:
        vessel = self._station.vessel(trouble.about[0])
        water = None if vessel is None else self._station.probe_of(vessel, Measure.WATER_C)
        if trouble.value is None or water is None or trouble.kind not in conditions.WORSE_BY:
            return False
        read = [c for _, c in reading_store.good_values(self._connection, water.id, began, ended)]
        if trouble.kind == "cold":
            return trouble.value <= min(read, default=trouble.value) - UNLIKE_K
        return trouble.value >= max(read, default=trouble.value) + UNLIKE_K

    def _stood(self, vessel: str, condition: str, probe: str, at: int) -> bool:
        return any(
            (row.vessel, row.condition, row.probe) == (vessel, condition, probe)
            and State(row.state) in ACTIVE
            for row in alarm_store.standing(self._connection, at)
        )


def when(row: LetterRow) -> int:
    """When a letter went out, or is to go."""
    return row.due_at if row.sent_at is None else row.sent_at


def speaks(row: LetterRow) -> bool:
    """Whether a letter speaks, or spoke, by itself or in another."""
    return row.state != "merged" or row.merged_into is not None


def _said_with_others(row: LetterRow, trouble: Trouble) -> bool:
    """Whether a letter went out about the same stretch of trouble, before its own alarm was raised."""
    if trouble.since is None or row.written_at is None:
        return False
    return trouble.at - trouble.since < _ONE_STRETCH_S and row.written_at >= trouble.since
