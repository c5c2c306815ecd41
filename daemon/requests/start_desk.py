"""Planned starts that people keep and take back. Loaded when the first of these requests comes."""

import sqlite3
from collections.abc import Mapping
from typing import Any

from daemon.errors import InputError
from daemon.input.file import shown
from daemon.planning.kept_start import KeptStart
from daemon.planning.wanted import AHEAD_MOST_S, LONGEST_S
from daemon.requests.request_words import moment, text, whole
from daemon.seconds import HOUR_S
from daemon.station import Station
from daemon.store import planned_starts

_LATE_S = HOUR_S  # a set time that is just over is still one
_LOT_LONGEST = 200


def answer(
    station: Station, connection: sqlite3.Connection, words: Mapping[str, Any], now: int
) -> dict[str, Any]:
    """The answer to a request. Raises InputError for what makes no sense; then nothing was changed."""
    match words.get("ask"):
        case "start keep":
            return {"id": _kept(station, connection, words, now)}
        case "start withdraw":
            return {"withdrawn": planned_starts.withdraw(connection, whole(words, "id"), now)}
        case other:
            raise InputError(f"request: found {shown(other)}; allowed: start keep, start withdraw")


def _kept(station: Station, connection: sqlite3.Connection, words: Mapping[str, Any], now: int) -> int:
    """A plan sent once more is kept once; of one vessel the newest stands alone."""
    start = _read(station, words, now)
    here = [one for one in planned_starts.standing(connection, now) if one.start.vessel == start.vessel]
    for one in here:
        if one.start == start:
            return one.id
    for one in here:
        planned_starts.withdraw(connection, one.id, now)
    return planned_starts.add(connection, start, now)


def _read(station: Station, words: Mapping[str, Any], now: int) -> KeptStart:
    vessel, lot = text(words, "vessel"), text(words, "lot", "")
    if station.vessel(vessel) is None:
        ids = ", ".join(one.id for one in station.vessels)
        raise InputError(f"request: vessel: found {shown(vessel)}; allowed: {ids}")
    if len(lot) > _LOT_LONGEST or not lot.isprintable():
        raise InputError(f"request: lot: found {shown(lot)}; allowed: one line of at most {_LOT_LONGEST}")
    set_at, began, ended = (moment(words, name) for name in ("set_at", "lesson_began", "lesson_ended"))
    good = moment(words, "good_from"), moment(words, "good_until")
    if not now - _LATE_S <= set_at < began < ended <= min(began + LONGEST_S, now + AHEAD_MOST_S):
        raise InputError(
            "request: found a set time and a lesson that do not follow each other; "
            "allowed: a set time ahead, before a lesson of at most 24 hours within a year"
        )
    if not good[0] <= set_at <= good[1] < ended:
        raise InputError("request: good_from: found other times; allowed: from before set_at until after it")
    swimming = words.get("swimming", False)
    if not isinstance(swimming, bool):
        raise InputError(f"request: swimming: found {shown(swimming)}; allowed: true, false")
    return KeptStart(vessel, lot or None, set_at, good, (began, ended), swimming)
