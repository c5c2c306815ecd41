"""What people put aside: an alarm for a while, an alarm that is out of service, all letters for a while."""

import sqlite3
from collections.abc import Callable, Mapping
from typing import Any

from daemon.alarms.letter_timing import planned_due_at
from daemon.alarms.lifecycle import ASIDE, State
from daemon.alarms.watch import Change, Watch, alarm_keys
from daemon.errors import InputError
from daemon.input.file import shown
from daemon.requests.request_words import text, whole
from daemon.seconds import DAY_S
from daemon.station import Station
from daemon.store import letters as letter_store
from daemon.store import shelved_alarms as shelf_store

LONGEST_S = 60 * DAY_S  # a summer; what is put aside for longer is better out of service


class AlarmShelfDesk:
    """Puts aside and takes back, and lets the time of what was put aside run out."""

    def __init__(
        self,
        station: Station,
        connection: sqlite3.Connection,
        watch: Watch,
        take: Callable[[list[Change]], None],
    ) -> None:
        """`take` is given the changes of alarms that follow."""
        self._station = station
        self._connection = connection
        self._watch = watch
        self._take = take

    def pass_time(self, at: int) -> None:
        """Put every alarm where the store says it belongs now: the time of some has run out."""
        aside = {
            (shelf.vessel, shelf.condition): State.OUT_OF_SERVICE if shelf.until is None else State.SHELVED
            for shelf in shelf_store.standing(self._connection, at)
        }
        changes = []
        for key in alarm_keys(self._station):
            state = self._watch.alarm(key).state
            wanted = aside.get((key.vessel, key.condition))
            if wanted is not state and (wanted is not None or state in ASIDE):
                changes += self._watch.put_aside(at, key, wanted)
        if changes:
            self._take(changes)

    def answer(self, words: Mapping[str, Any], now: int, by: str = "") -> dict[str, Any]:
        """Do what a request asks: `shelve`, `out-of-service`, `take-back`, `acknowledge`, `quiet`, `loud`.

        `by` is the login name of who asks; empty where it is not known.
        Raises InputError where it names what is not there, or a time that is over or too far away.
        """
        match words.get("ask"):
            case "shelve":
                return self._put_aside(words, now, _until(words, now), by)
            case "out-of-service":
                return self._put_aside(words, now, None, by)
            case "take-back":
                vessel, condition = self._named(words)
                found = shelf_store.lift(self._connection, now, vessel, condition)
                self.pass_time(now)
                return {"taken_back": found}
            case "acknowledge":
                self._take(self._watch.acknowledge(now))
                return {"acknowledged": True}
            case "quiet":
                return self._quiet(_until(words, now), now, by)
            case "loud":
                return {"taken_back": self._loud(now)}
            case other:
                raise InputError(f"request: found {shown(other)}; allowed: {', '.join(REQUESTS)}")

    def _put_aside(self, words: Mapping[str, Any], now: int, until: int | None, by: str) -> dict[str, Any]:
        vessel, condition = self._named(words)
        shelf_store.add(self._connection, now, vessel, condition, until, by)
        self.pass_time(now)
        return {"vessel": vessel, "condition": condition, "until": until}

    def _named(self, words: Mapping[str, Any]) -> tuple[str, str]:
        vessel, condition = text(words, "vessel", ""), text(words, "condition", "")
        known = alarm_keys(self._station)
        if not any(key.vessel == vessel for key in known):
            ids = ", ".join(v.id for v in self._station.vessels)
            raise InputError(f"vessel: found {shown(vessel)}; allowed: {ids}")
        of_vessel = sorted({key.condition for key in known if key.vessel == vessel})
        if condition not in of_vessel:
            raise InputError(f"condition: found {shown(condition)}; allowed: {', '.join(of_vessel)}")
        return vessel, condition

    def _quiet(self, until: int, now: int, by: str) -> dict[str, Any]:
        """Letters that wait for somebody go on waiting; urgent heat takes no notice of it."""
        shelf_store.add(self._connection, now, "", "", until, by)
        letter_store.put_off_held(self._connection, planned_due_at(self._station, until))
        return {"quiet_until": until}

    def _loud(self, now: int) -> int:
        until = shelf_store.quiet_until(self._connection, now)
        if until is not None:
            due_at = planned_due_at(self._station, until)
            letter_store.bring_forward(self._connection, due_at, planned_due_at(self._station, now))
        return shelf_store.lift(self._connection, now, "", "")


REQUESTS = ("shelve", "out-of-service", "take-back", "acknowledge", "quiet", "loud")


def _until(words: Mapping[str, Any], now: int) -> int:
    until = whole(words, "until")
    if not now < until <= now + LONGEST_S:
        found = "a moment that is over" if until <= now else "more than 60 days"
        raise InputError(f"until: found {found}; allowed: a moment within the next 60 days")
    return until
