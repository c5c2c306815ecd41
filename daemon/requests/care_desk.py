"""Deeds recorded, corrected and withdrawn: the care log, and what follows from a new entry."""

import sqlite3
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from daemon.alarms.watch import Change, Watch
from daemon.care.deed import Deed
from daemon.care.log import deed_from_fields
from daemon.care.plausibility import measured_far_off, questions
from daemon.errors import InputError
from daemon.input.file import shown
from daemon.requests.request_words import moment, text, whole
from daemon.seconds import HOUR_S
from daemon.station import Station
from daemon.store import deeds as deed_store
from daemon.watching.beliefs import Beliefs

# A person's watch and the station's may differ a little; more than this is a wrong entry.
_AHEAD_S = 300


class CareDesk:
    """Takes entries of the care log, one transaction each."""

    def __init__(
        self,
        station: Station,
        connection: sqlite3.Connection,
        beliefs: Beliefs,
        watch: Watch,
        take: Callable[[list[Change]], None],
    ) -> None:
        """`take` is given the changes of alarms that an entry brings."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        self._watch = watch
        self._take = take

    def record(self, deed: Deed, now: int, corrects: int | None = None) -> int:
        """Keep a deed and think again; returns its id. Raises InputError for one that lies in the future."""
        if deed.at > now + _AHEAD_S:
            raise InputError(f"time: found a moment {_ahead(deed.at - now)} ahead; allowed: now or earlier")
        deed = replace(deed, at=min(deed.at, now))
        belief = self._beliefs.of(deed.vessel)
        in_order = deed.at > belief.reached
        if in_order and belief.running is not None:
            self._beliefs.write([deed.vessel], deed.at - 1)  # so that a chart shows the step, not a slope
        deed_id = deed_store.add(self._connection, deed, now, corrects)
        self._beliefs.take_in(deed, now)
        self._follow(deed.vessel, deed.at if in_order else now, stood_there_at=deed.at)
        return deed_id

    def doubts(self, deed: Deed, now: int, corrects: int | None = None) -> list[str]:
        """What to ask back about an entry before it is kept: plain words, never a refusal."""
        vessel = self._station.vessel(deed.vessel)
        if vessel is None:
            return []
        stand = [
            entry.deed
            for entry in deed_store.every(self._connection)
            if entry.withdrawn_at is None and entry.id != corrects and entry.deed.vessel == deed.vessel
        ]
        salt = self._beliefs.estimates(deed.vessel, now).get("salinity_g_per_kg")
        far_off = measured_far_off(deed, None if salt is None else (salt.p10, salt.p90))
        doubts = questions(deed, now, stand, vessel.mark_ml, self._station.timezone)
        return doubts if far_off is None else [*doubts, far_off]

    def withdraw(self, deed_id: int, now: int) -> None:
        """Take an entry back; it stays readable. Raises InputError where none stands under that id."""
        entry = deed_store.withdraw(self._connection, deed_id, now)
        self._beliefs.rebuild([entry.deed.vessel], now)
        self._follow(entry.deed.vessel, now)

    def correct(self, deed_id: int, deed: Deed, now: int) -> int:
        """Put another entry in the place of one; returns its id. Raises InputError as above."""
        entry = deed_store.withdraw(self._connection, deed_id, now)
        self._beliefs.rebuild([entry.deed.vessel, deed.vessel], now)
        return self.record(deed, now, deed_id)

    def _follow(self, vessel: str, at: int, *, stood_there_at: int | None = None) -> None:
        changes = self._watch.vessels_are(at, self._beliefs.states(), self._beliefs.warmed_by())
        if stood_there_at is not None:
            changes += self._watch.somebody_was_there(at, vessel, stood_there_at)
        if vessel in self._beliefs.running():
            self._beliefs.write([vessel], at)
        self._take(changes)

    def answer(self, words: Mapping[str, Any], now: int) -> dict[str, Any]:
        """Do what a request from the inbox asks: `record`, `correct` or `withdraw`. Raises InputError."""
        match words.get("ask"):
            case "record":
                deed = self._deed(words)
                doubts = self.doubts(deed, now)
                return {"id": self.record(deed, now), "doubts": doubts}
            case "correct":
                deed, corrected = self._deed(words), whole(words, "id")
                doubts = self.doubts(deed, now, corrected)
                return {"id": self.correct(corrected, deed, now), "doubts": doubts}
            case "withdraw":
                withdrawn = whole(words, "id")
                self.withdraw(withdrawn, now)
                return {"id": withdrawn}
            case other:
                raise InputError(f"request: found {shown(other)}; allowed: record, correct, withdraw")

    def _deed(self, words: Mapping[str, Any]) -> Deed:
        return deed_from_fields(
            moment(words, "at"),
            text(words, "vessel"),
            text(words, "deed"),
            None if words.get("amount") is None else text(words, "amount"),
            text(words, "unit", ""),
            text(words, "detail", ""),
            self._station,
        )


def _ahead(seconds: int) -> str:
    return f"{seconds // 60} minutes" if seconds < 7200 else f"{seconds // HOUR_S} hours"
