"""The planned letters about a batch itself: its hatch, a hatch that is late, harvest, feeding."""

import sqlite3
from collections.abc import Sequence

from daemon.alarms.letter_timing import (
    ABSENCE_HOURS,
    AHEAD_S,
    morning_of_return,
    next_leave,
    planned_due_at,
)
from daemon.care.deed import Deed
from daemon.hours import attended_spans, is_attended, local_day, next_absence, next_attended
from daemon.letters.planned_week import finds_room, has_room
from daemon.letters.seen import may_be_fed, tells_of_hatch
from daemon.seconds import DAY_S, HOUR_S, WEEK_S
from daemon.station import CONE, Station
from daemon.store import deeds as deed_store
from daemon.store import done_and_said
from daemon.store import estimates as estimate_store
from daemon.store import letters as letter_store
from daemon.store import shelved_alarms as shelf_store
from daemon.watching.beliefs import Beliefs

_SOON_LEFT_S = 3 * HOUR_S
_CLOSES_SOON_S = AHEAD_S // 2
_CHOOSES_S = 8 * HOUR_S  # of the last day on which somebody can draw off before the window opens
_ALIKE_S = 8 * HOUR_S  # cups set on one day stand in one letter
_LATER_S = 6 * HOUR_S  # a hatch that is surely so much later than written is worth another letter
_OVERDUE_S = 5 * HOUR_S  # of people in the room, after all of it should have come, nine in ten sure
_ASK_AGAIN_S = WEEK_S


class BatchLetters:
    """Holds each of these letters once a batch, by the ledger; feeding as often as it is due."""

    def __init__(self, station: Station, connection: sqlite3.Connection, beliefs: Beliefs) -> None:
        """Look ahead with these beliefs."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs

    def look(self, at: int) -> None:
        """Hold what is due of every running batch, unless it is a quiet time."""
        if shelf_store.quiet_until(self._connection, at) is not None:
            return
        for vessel_id in self._beliefs.running():
            batch = self._beliefs.of(vessel_id).running
            believed = self._beliefs.estimates(vessel_id, at)
            if batch is None or "hatch_t50" not in believed:
                continue
            deeds = self._deeds(vessel_id, batch.set_at, at)
            self._late(vessel_id, batch.set_at, deeds, at)
            vessel = self._station.vessel(vessel_id)
            if vessel is not None and vessel.kind == CONE:
                self._harvest(vessel_id, batch.set_at, deeds, at)  # its letter tells of the hatch, too
            else:
                self._hatch(vessel_id, batch.set_at, deeds, at)
                self._feed(vessel_id, batch.set_at, deeds, at)

    def _deeds(self, vessel_id: str, set_at: int, at: int) -> list[Deed]:
        return [d for d in deed_store.between(self._connection, set_at - 1, at) if d.vessel == vessel_id]

    def _hatch(self, vessel_id: str, set_at: int, deeds: Sequence[Deed], at: int) -> None:
        """Half of it is near: now if somebody can look, else for the return. Who sees it needs no letter."""
        half = self._beliefs.estimates(vessel_id, at)["hatch_t50"]
        if half.p50 - at <= self._ahead_s(at) and not any(map(tells_of_hatch, deeds)):
            self._hold_once("hatch", f"{vessel_id} {set_at}", vessel_id, at, seen_by=half.p90)

    def _ahead_s(self, at: int) -> int:
        """How near a hatch is written of; where one is, those a little later are written of with it."""
        halves = [
            believed["hatch_t50"].p50
            for vessel_id in self._beliefs.running()
            if "hatch_t50" in (believed := self._beliefs.estimates(vessel_id, at))
        ]
        near = any(0.0 <= half - at <= AHEAD_S for half in halves)
        return AHEAD_S + _ALIKE_S if near else AHEAD_S

    def _late(self, vessel_id: str, set_at: int, deeds: Sequence[Deed], at: int) -> None:
        """It is surely later than a letter said; or all should have come, and nobody recorded any."""
        believed = self._beliefs.estimates(vessel_id, at)
        said_at = half_as_written(self._connection, vessel_id, set_at, at)
        if said_at is not None and at >= said_at and believed["hatch_t50"].p10 > max(at, said_at) + _LATER_S:
            self._hold_once("hatch", f"later {vessel_id} {set_at}", vessel_id, at)
        seen = any(map(tells_of_hatch, deeds))
        overdue = not seen and self._seen_in_vain(round(believed["hatch_t90"].p90), at)
        if overdue and self._hold_once("hatch", f"overdue {vessel_id} {set_at}", vessel_id, at):
            done_and_said.say_once(self._connection, "hatch", f"{vessel_id} {set_at}", at)  # it is not near

    def _seen_in_vain(self, hatched_by: int, at: int) -> bool:
        """Whether people have been in the room for some hours since, and recorded nothing."""
        there = attended_spans(self._station, hatched_by, at) if hatched_by < at else []
        return sum(ended - began for began, ended in there) >= _OVERDUE_S

    def _harvest(self, vessel_id: str, set_at: int, deeds: Sequence[Deed], at: int) -> None:
        believed = self._beliefs.estimates(vessel_id, at)
        opens, closes = believed["harvest_opens_at"].p50, believed["harvest_closes_at"].p50
        if any(deed.deed == "harvest" for deed in deeds):
            return
        until = last_chance(self._station, round(opens), round(closes), at)
        if until is None:
            self._window(vessel_id, set_at, opens, closes, at)
        elif until - at <= _CHOOSES_S:
            self._hold_once(
                "harvest", f"unseen {vessel_id} {set_at}", vessel_id, at, seen_by=until, must=True
            )

    def _window(self, vessel_id: str, set_at: int, opens: float, closes: float, at: int) -> None:
        """Before it opens, and once more before it closes where the week has room for that."""
        told = letter_store.earliest_about(self._connection, "harvest", vessel_id, set_at) is not None
        back = next_attended(self._station, planned_due_at(self._station, at))
        if told and (back is None or back > closes) and not self._away(at):
            return  # over by the time it is read, as was said while there was a choice
        if opens - at <= AHEAD_S:
            slot = f"opens {vessel_id} {set_at}"
            told |= self._hold_once("harvest", slot, vessel_id, at, seen_by=closes, must=True)
        closing = opens <= at < closes and closes - at <= _CLOSES_SOON_S
        if closing and not self._said_lately("harvest", vessel_id, at):
            slot = f"closes {vessel_id} {set_at}"
            self._hold_once("harvest", slot, vessel_id, at, seen_by=closes, must=not told)

    def _said_lately(self, kind: str, vessel_id: str, at: int) -> bool:
        """Whether a letter went out, or is to, that said when the window closes while it still did."""
        rows = letter_store.between(self._connection, at - 2 * DAY_S, at)
        return any(
            row.kind == kind and vessel_id in row.about and at - row.due_at < _CLOSES_SOON_S for row in rows
        )

    def _feed(self, vessel_id: str, set_at: int, deeds: Sequence[Deed], at: int) -> None:
        """In attended hours, within the budget; the letters before and after an absence say it themselves."""
        if not is_attended(self._station, at) or not self.feed_due(vessel_id, at):
            return
        if self._leaves_today(at) or self._back_today(at):
            return
        last = max((deed.at for deed in deeds if deed.deed == "feed"), default=set_at)
        said_at = letter_store.latest_about(self._connection, "feed", vessel_id, last)
        if said_at is not None and at - said_at < _ASK_AGAIN_S:
            return
        if has_room(self._station, self._connection, at):
            due_at = planned_due_at(self._station, at)
            letter_store.hold(self._connection, at, "feed", f"feed: {vessel_id}", due_at, [vessel_id])

    def feed_due(self, vessel_id: str, at: int) -> bool:
        """Whether the animals are at instar II, nine in ten sure, and were not fed lately."""
        batch = self._beliefs.of(vessel_id).running
        if batch is None:
            return False
        eats_from = self._beliefs.estimates(vessel_id, at)["instar_ii_at"].p90
        return may_be_fed(batch.set_at, eats_from, self._deeds(vessel_id, batch.set_at, at), at)

    def _leaves_today(self, at: int) -> bool:
        coming = next_leave(self._station, at)
        zone = self._station.timezone
        return coming is not None and local_day(coming[0], zone) == local_day(at, zone)

    def _back_today(self, at: int) -> bool:
        """Whether people came back today from an absence that ended with a letter."""
        zone = self._station.timezone
        absence = next_absence(self._station, at - DAY_S, ABSENCE_HOURS)
        return absence is not None and absence[1] <= at and local_day(absence[1], zone) == local_day(at, zone)

    def _hold_once(
        self,
        kind: str,
        slot: str,
        vessel_id: str,
        at: int,
        *,
        seen_by: float | None = None,
        must: bool = False,
    ) -> bool:
        """Hold a letter, once, for when it is read and the week has room; without room, try again later.

        What `must` be said by `seen_by` is said, however full the week. Whether it is held now.
        """
        if done_and_said.was_said(self._connection, kind, slot):
            return False
        by = seen_by if kind == "harvest" else None  # swimmers wait, a harvest does not
        due_at = finds_room(
            self._station, self._connection, self._when_to_tell(at, seen_by), at, by=by, must=must
        )
        if due_at is None:
            return False
        done_and_said.say_once(self._connection, kind, slot, at)
        letter_store.hold(self._connection, at, kind, f"{kind}: {vessel_id}", due_at, [vessel_id])
        return True

    def _when_to_tell(self, at: int, seen_by: float | None) -> int:
        """At the next chance to read it, if somebody is there by `seen_by`; else on the return."""
        due_at = planned_due_at(self._station, at)
        coming = next_leave(self._station, at)
        soon = coming is not None and due_at <= coming[0] <= due_at + _SOON_LEFT_S
        if coming is not None and soon and (seen_by is None or coming[0] <= seen_by):
            return coming[0]  # the letter before the absence tells it, and is the one that is read
        if self._away(due_at):
            return morning_of_return(self._station, due_at)  # so is the letter after it
        back = next_attended(self._station, due_at)
        in_time = back is not None and (seen_by is None or back <= seen_by)
        somebody_sees_it = in_time and (seen_by is not None or is_attended(self._station, due_at))
        return due_at if somebody_sees_it else morning_of_return(self._station, due_at)

    def _away(self, at: int) -> bool:
        """Whether an absence is under way that ends with a letter."""
        absence = next_absence(self._station, at, ABSENCE_HOURS)
        return absence is not None and absence[0] <= at


def last_chance(station: Station, opens_at: int, closes_at: int, at: int) -> int | None:
    """Until when somebody is in the room before a harvest that opens and closes with nobody there.

    None where somebody is there while it is open, or nobody comes before; all in Unix s.
    """
    if opens_at <= at or attended_spans(station, opens_at, max(closes_at, opens_at + 1)):
        return None
    before = attended_spans(station, at, opens_at)
    return before[-1][1] if before else None


def half_as_written(connection: sqlite3.Connection, vessel_id: str, set_at: int, at: int) -> int | None:
    """The moment of half the hatch that the first letter about it named; None before there was one."""
    said_at = letter_store.earliest_about(connection, "hatch", vessel_id, set_at)
    if said_at is None or said_at > at:
        return None
    lately = estimate_store.series(connection, vessel_id, "hatch_t50", said_at - 2 * HOUR_S, said_at)
    return round(lately[-1][2]) if lately else None
