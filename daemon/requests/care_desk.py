"""Deeds recorded, corrected and withdrawn: the care log, and what follows from a new entry."""

import sqlite3
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from daemon.alarms.watch import Change, Watch
from daemon.care.deed import Deed
from daemon.care.log import deed_from_fields
from daemon.care.past_moment import AHEAD_S, ahead
from daemon.care.plausibility import brine_not_water, measured_far_off, questions, scale_not_given
from daemon.care.vessel_limits import BelievedLoss, cups_like, questions_of_size
from daemon.errors import InputError
from daemon.estimates.quantile import Estimate
from daemon.input.file import shown
from daemon.requests.deed_change import deed_change
from daemon.requests.request_words import moment, text, whole
from daemon.seconds import DAY_S
from daemon.station import Station, Vessel
from daemon.store import deeds as deed_store
from daemon.vessel_state import course_of
from daemon.watching.beliefs import Beliefs
from daemon.watching.old_hatches import READ_BACK_S

DEEDS_CHANGE = ("record", "correct", "withdraw")


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

    def record(self, deed: Deed, now: int) -> int:
        """Keep a deed and think again; returns its id.

        Raises InputError for one that lies in the future, or further back than beliefs read.
        """
        _check_time(deed, now)
        return self._keep(deed, now)

    def _keep(self, deed: Deed, now: int, corrects: int | None = None) -> int:
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
        believed = self._beliefs.estimates(deed.vessel, now)
        salt, loss = believed.get("salinity_g_per_kg"), believed.get("loss_ml")
        measured = (
            measured_far_off(deed, None if salt is None else (salt.p10, salt.p90)),
            scale_not_given(deed),
        )
        return [
            *questions(deed, now, stand, self._station.timezone),
            *questions_of_size(
                deed,
                vessel,
                None if loss is None else BelievedLoss(loss.p10, loss.p90),
                cups_like(vessel, self._station),
            ),
            *(question for question in measured if question is not None),
            # Where it stands in the place of another, that one is in what is believed already.
            *(_doubts_of_brine(deed, vessel, stand, believed) if corrects is None else []),
            *self._doubts_of_tin(deed),
        ]

    def _doubts_of_tin(self, deed: Deed) -> list[str]:
        lot = str(deed.detail.get("lot") or "") if deed.deed == "set" else ""
        if not lot:
            return []
        from daemon.care.tin_name import tin_question  # many stations never name a tin
        from daemon.store.tin_names import named_lots

        question = tin_question(lot, named_lots(self._connection, self._station))
        return [] if question is None else [question]

    def withdraw(self, deed_id: int, now: int) -> None:
        """Take an entry back; it stays readable. Raises InputError where none stands under that id."""
        entry = deed_store.withdraw(self._connection, deed_id, now)
        self._beliefs.rebuild([entry.deed.vessel], now)
        self._follow(entry.deed.vessel, now)

    def correct(self, deed_id: int, deed: Deed, now: int) -> int:
        """Put another entry in the place of one; returns its id. Raises InputError as above."""
        old = deed_store.find(self._connection, deed_id)
        if old is None or old.deed.at != deed.at:
            _check_time(deed, now)  # before anything is forgotten of the old one
        entry = deed_store.withdraw(self._connection, deed_id, now)
        deed, reached = replace(deed, at=min(deed.at, now)), self._beliefs.of(deed.vessel).reached
        if deed.at > reached or reached <= entry.deed.at:  # the old one was the last there is: think first
            self._beliefs.rebuild([entry.deed.vessel, deed.vessel], now)
            return self._keep(deed, now, deed_id)
        new_id = deed_store.add(self._connection, deed, now, deed_id)
        self._beliefs.rebuild([entry.deed.vessel, deed.vessel], now)
        self._follow(deed.vessel, now, stood_there_at=deed.at)
        return new_id

    def ready(self, words: Mapping[str, Any], now: int) -> bool:
        """Whether a request can be done at once. One that reaches back needs a belief read anew: that is done
        a stretch at each call, beside the one that stands, and until then the answer is no.
        """
        try:
            return self._beliefs.prepare(self._foreseen(words, now), now)
        except (InputError, KeyError, TypeError, ValueError, OverflowError):  # refused when it is done
            return True

    def _foreseen(self, words: Mapping[str, Any], now: int) -> dict[str, list[Deed]]:
        """By vessel whose belief a request will have read anew: what its deeds will be."""
        deed = self._deed(words) if words.get("ask") in ("record", "correct") else None
        if deed is not None:
            _check_time(deed, now)
            deed = replace(deed, at=min(deed.at, now))
        old_id = whole(words, "id") if words.get("ask") in ("correct", "withdraw") else None
        old = None if old_id is None else deed_store.find(self._connection, old_id)
        if old is None and deed is not None and deed.at >= self._beliefs.of(deed.vessel).reached:
            return {}
        stand = [
            entry.deed
            for entry in deed_store.every(self._connection)
            if entry.withdrawn_at is None and entry.id != old_id
        ] + ([] if deed is None else [deed])
        touched = {one.vessel for one in (deed, old.deed if old else None) if one is not None}
        by_time = sorted(stand, key=lambda one: one.at)  # and by id: the new one comes last
        return {
            vessel.id: [one for one in by_time if one.vessel == vessel.id and one.at <= now]
            for vessel in self._station.vessels
            if vessel.id in touched
        }

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
                return self._recorded(self._deed(words), now)
            case "correct":
                return self._corrected(self._deed(words), whole(words, "id"), now)
            case "withdraw":
                return self._withdrawn(whole(words, "id"), now)
            case other:
                raise InputError(f"request: found {shown(other)}; allowed: record, correct, withdraw")

    def _recorded(self, deed: Deed, now: int) -> dict[str, Any]:
        # What was believed before a set was of another batch.
        before = {} if deed.deed == "set" else self._believed(deed.vessel, now)
        doubts = self.doubts(deed, now)
        deed_id = self.record(deed, now)
        changed = deed_change([deed.deed], before, self._believed(deed.vessel, now), now)
        return {"id": deed_id, "at": min(deed.at, now), "doubts": doubts, "changed": changed}

    def _corrected(self, deed: Deed, corrected: int, now: int) -> dict[str, Any]:
        old, before = deed_store.find(self._connection, corrected), self._believed(deed.vessel, now)
        doubts = self.doubts(deed, now, corrected)
        deed_id = self.correct(corrected, deed, now)
        deeds = [deed.deed, *([old.deed.deed] if old else [])]
        changed = deed_change(deeds, before, self._believed(deed.vessel, now), now)
        return {"id": deed_id, "at": min(deed.at, now), "doubts": doubts, "changed": changed}

    def _withdrawn(self, deed_id: int, now: int) -> dict[str, Any]:
        old = deed_store.find(self._connection, deed_id)
        before = self._believed(old.deed.vessel, now) if old else {}
        self.withdraw(deed_id, now)
        changed = (
            deed_change([old.deed.deed], before, self._believed(old.deed.vessel, now), now) if old else {}
        )
        return {"id": deed_id, "changed": changed}

    def _believed(self, vessel: str, now: int) -> Mapping[str, Estimate]:
        """Empty too of a vessel that the station no longer has."""
        return self._beliefs.estimates(vessel, now) if self._station.vessel(vessel) else {}

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


def _doubts_of_brine(
    deed: Deed, vessel: Vessel, stand: Sequence[Deed], believed: Mapping[str, Estimate]
) -> list[str]:
    salt, loss = believed.get("salinity_g_per_kg"), believed.get("loss_ml")
    if deed.deed != "top-up" or salt is None or loss is None:
        return []
    from daemon.estimates.water.pour import bears_plain_ml  # commands that record nothing load this module

    before = sorted((one for one in stand if one.at <= deed.at), key=lambda one: one.at)
    state = course_of(before).state(vessel, believed, deed.at)
    there_ml, poured_ml = max(0.0, vessel.mark_ml - loss.p50), deed.amount or 0.0
    left = salt.p50 * there_ml / max(1.0, there_ml + poured_ml)
    bears_ml = bears_plain_ml(vessel, state, loss.p50, salt.p50)
    question = brine_not_water(deed, state.drawn_ml, bears_ml, left)
    return [] if question is None else [question]


def _check_time(deed: Deed, now: int) -> None:
    if deed.at > now + AHEAD_S:
        raise InputError(f"time: found a moment {ahead(deed.at - now)} ahead; allowed: now or earlier")
    if deed.at < now - READ_BACK_S:
        found = f"a moment {(now - deed.at) // DAY_S} days ago"
        raise InputError(f"time: found {found}; allowed: within the last {READ_BACK_S // DAY_S} days")
