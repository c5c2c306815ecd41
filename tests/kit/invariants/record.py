"""What a play left: its letters as they went out, and the truth they are held against."""

import json
import sqlite3
from bisect import bisect_right
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime, timedelta
from functools import cached_property
from pathlib import Path

from daemon.station import Station, Vessel
from sensors.reading import Measure
from tests.kit.histories.hindsight import judged_anew, noticed_late
from tests.kit.invariants.calendar import Calendar
from tests.kit.invariants.letter import Letter, text_of
from tests.kit.invariants.rows import AlarmRow, Belief, Done, Said, Series

ACTIVE = ("unacknowledged", "acknowledged")
ASIDE = ("shelved", "out of service")
# What a letter of a kind is about: the conditions that bring it.
KIND_OF = {
    "cold": "cold",
    "cold-ahead": "cold",
    "hot": "hot",
    "hot-ahead": "hot",
    "lamp": "lamp",
    "lamp-stays-on": "lamp",
    "probe": "probe",
    "water": "water",
    "salinity": "water",
    "swing": "swing",
    "storage": "storage",
    "clock": "clock",
}


class Record:
    """A folder that a play wrote, with the station it played."""

    def __init__(self, station: Station, folder: Path) -> None:
        self.station, self.folder = station, folder
        with closing(sqlite3.connect(f"file:{folder}/station.db?mode=ro", uri=True)) as store:
            self._read(store)

    def _read(self, store: sqlite3.Connection) -> None:
        rows: dict[str, list[tuple[int, float | None, str]]] = {p.id: [] for p in self.station.probes}
        for at, probe, value, quality in store.execute(
            "SELECT at, probe, value, quality FROM reading ORDER BY at"
        ):
            rows.setdefault(probe, []).append((at, value, quality))
        anew = judged_anew(store)
        self.probes = {probe: Series(of, anew.get(probe)) for probe, of in rows.items()}
        ats = [of[place][0] for of in rows.values() if of for place in (0, -1)]
        self.began, self.ended = min(ats), max(ats)
        self.deeds = [
            Done(at, vessel, deed, amount, json.loads(detail), recorded_at, withdrawn_at)
            for at, vessel, deed, amount, detail, recorded_at, withdrawn_at in store.execute(
                "SELECT at, vessel, deed, amount, detail, recorded_at, withdrawn_at FROM deed ORDER BY at, id"
            )
        ]
        self._beliefs: dict[tuple[str, str], list[Belief]] = {}
        for vessel, quantity, *belief in store.execute(
            "SELECT vessel, quantity, at, p10, p50, p90 FROM estimate ORDER BY at"
        ):
            self._beliefs.setdefault((vessel, quantity), []).append(Belief(*belief))
        late = noticed_late(store)
        self.alarms = [
            AlarmRow(*row, late.get(number))
            for number, *row in store.execute(
                "SELECT id, at, vessel, condition, probe, state, since, value FROM alarm ORDER BY id"
            )
        ]
        self.outages = store.execute("SELECT began, ended FROM outage ORDER BY began").fetchall()
        self.quiets = store.execute(
            "SELECT at, until, lifted_at FROM shelf WHERE vessel = '' AND condition = ''"
        ).fetchall()
        self.doubts = store.execute("SELECT at, probe FROM doubt ORDER BY at").fetchall()
        self.letters = [
            Letter(number, kind, subject, written_at, sent_at, tuple(json.loads(about)), text_of(message))
            for number, kind, subject, written_at, sent_at, about, message in store.execute(
                "SELECT number, kind, subject, written_at, sent_at, about, message FROM letter "
                "WHERE sent_at IS NOT NULL AND message IS NOT NULL ORDER BY number"
            )
        ]
        # Those that say above that they are late, and are read as history.
        self.late = {
            number
            for (number,) in store.execute(
                "SELECT number FROM letter WHERE EXISTS "
                "(SELECT 1 FROM delivery WHERE delivery.letter = letter.id AND delivery.note != '')"
            )
        }
        # All that got its words, also where the post kept it until a digest stood for it.
        self.written = [
            Said(at, kind, tuple(json.loads(about)))
            for at, kind, about in store.execute(
                "SELECT written_at, kind, about FROM letter WHERE written_at IS NOT NULL"
            )
        ]
        # What a letter said beside its own matter: rows that were merged into it.
        self.said_in = [
            Said(at, kind, tuple(json.loads(about)))
            for at, kind, about in store.execute(
                "SELECT teller.written_at, merged.kind, merged.about FROM letter AS merged "
                "JOIN letter AS teller ON merged.merged_into = teller.id WHERE teller.written_at IS NOT NULL"
            )
        ]

    @cached_property
    def calendar(self) -> Calendar:
        """When somebody is in the room."""
        return Calendar(self.station, self.began, self.ended)

    @property
    def english(self) -> bool:
        """Whether its letters can be read here."""
        return self.station.language == "en"

    def local(self, at: float) -> datetime:
        """By the station's clock."""
        return datetime.fromtimestamp(round(at), self.station.timezone)

    def night_of(self, at: int) -> int:
        """The hour of a nightly letter on the day before one that is written at `at`."""
        local = self.local(at)
        return int((local - timedelta(days=1)).timestamp())  # the same hour by the clock, also when it is set

    def water_of(self, vessel: Vessel) -> Series | None:
        """What its thermometer read."""
        return self._series(vessel, Measure.WATER_C)

    def light_of(self, vessel: Vessel) -> tuple[Series, float] | None:
        """What its light probe read, and from where on it counts as lit."""
        lux = self._series(vessel, Measure.LIGHT_LUX)
        if lux is not None:
            return lux, vessel.low_light_lux
        share = self._series(vessel, Measure.LIGHT_FRACTION)
        return None if share is None else (share, vessel.low_light_fraction)

    def room_of(self, vessel: Vessel) -> Series | None:
        """What the thermometer of its room's air read."""
        return self._series(vessel, Measure.ROOM_C)

    def _series(self, vessel: Vessel, measure: Measure) -> Series | None:
        plan = self.station.probe_of(vessel, measure)
        return None if plan is None else self.probes[plan.id]

    def done(self, vessel: str, began: int, ended: int, known_at: int) -> list[Done]:
        """Deeds of a vessel within (began, ended] that stood in the log at a moment."""
        return [
            one
            for one in self.deeds
            if one.vessel == vessel and began < one.at <= ended and one.known(known_at)
        ]

    def set_at(self, vessel: str, at: int) -> int | None:
        """When the batch that runs in a vessel was set; None where none does."""
        running: int | None = None
        for one in self.done(vessel, 0, at, at):
            if one.deed == "set":
                running = one.at
            elif one.deed == "end":
                running = None
        return running

    def watched(self, vessel: Vessel, at: int) -> bool:
        """Whether temperature, lamp and probe are watched: always, unless the station file says otherwise."""
        return getattr(vessel, "watch", "always") == "always" or self.set_at(vessel.id, at) is not None

    def belief(self, vessel: str, quantity: str, at: int) -> Belief | None:
        """The last that was believed of the running batch up to a moment."""
        since = self.set_at(vessel, at)
        rows = self._beliefs.get((vessel, quantity), [])
        place = bisect_right(rows, at, key=lambda row: row.at)
        if since is None or not place or rows[place - 1].at < since:
            return None
        return rows[place - 1]

    def beliefs_around(self, vessel: str, quantity: str, at: int, within_s: int) -> list[Belief]:
        """All that was believed close to a moment."""
        rows = self._beliefs.get((vessel, quantity), [])
        return [row for row in rows if abs(row.at - at) <= within_s]

    def beliefs(self) -> Iterator[tuple[str, str, list[Belief]]]:
        """Vessel, quantity and all that was believed of it, in time order."""
        for (vessel, quantity), rows in self._beliefs.items():
            yield vessel, quantity, rows

    def standing(self, at: int) -> dict[tuple[str, str, str], AlarmRow]:
        """The last row of every alarm that was known at a moment."""
        return {row.key: row for row in self.alarms if row.known_at <= at}

    def raised(self, key: tuple[str, str, str], at: int) -> AlarmRow | None:
        """The row by which an alarm that stands at a moment was raised; None where it does not stand."""
        first: AlarmRow | None = None
        for row in self.alarms:
            if row.key != key or row.known_at > at:
                continue
            if row.state not in ACTIVE:
                first = None
            elif first is None:
                first = row
        return first

    def quiet(self, at: int) -> bool:
        """Whether somebody had asked for silence."""
        return any(
            began <= at < min(until or at + 1, lifted or at + 1) for began, until, lifted in self.quiets
        )

    def was_off(self, at: int) -> bool:
        """Whether the station was off."""
        return any(began < at < ended for began, ended in self.outages)

    def vessel(self, name: str) -> Vessel | None:
        """A vessel of the station."""
        return self.station.vessel(name)

    def vessels_about(self, letter: Letter) -> list[Vessel]:
        """The vessels that a letter is about; of the nightly letter, all."""
        about = letter.about or tuple(vessel.id for vessel in self.station.vessels)
        return [vessel for name in about if (vessel := self.vessel(name)) is not None]
