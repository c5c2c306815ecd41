"""What a box says, read from the store: nothing that a person wrote, no names but of vessels and probes."""

import hashlib
import json
import math
import sqlite3
from collections.abc import Mapping
from typing import Any

from daemon.care.deed import KINDS, Kind
from daemon.letter_kinds import LETTER_KINDS
from daemon.record.box import Box
from daemon.seconds import HOUR_S
from daemon.station import Station
from daemon.store import estimates as estimate_store
from daemon.store.outbox import Owed
from daemon.store.outbox_triggers import ALARM, DEED, ESTIMATE, HOUR

# A probe that the station file names no longer.
_UNKNOWN = "unknown"
_CARRIERS = ("mail", "webhook", "files")
# What is told of a tin: enough to tell two apart, too little to read its name.
_LOT_DIGITS = 12
_TOO_LARGE = 1e12


class Bodies:
    """Reads boxes of one moment: made anew for each time that some are sent."""

    def __init__(self, station: Station, connection: sqlite3.Connection, store: int) -> None:
        """`store` is the store's number, which every box bears."""
        self._station = station
        self._connection = connection
        self._store = store
        self._quantities: list[tuple[str, str]] | None = None

    def box(self, owed: Owed) -> Box:
        """The box that is owed, as things stand."""
        say = {HOUR: self._hour, ALARM: self._alarm, DEED: self._deed, ESTIMATE: self._estimate}
        body = say.get(owed.kind, self._letter)(owed.key)
        return Box(owed.n, owed.kind, {"store": self._store, **body})

    def _hour(self, at: int) -> dict[str, Any]:
        rows = self._connection.execute(
            "SELECT probe, at - ?, value, quality FROM reading WHERE at >= ? AND at < ? ORDER BY probe, at",
            (at, at, at + HOUR_S),
        )
        read: dict[str, list[tuple[int, float | None, str]]] = {}
        for probe, second, value, quality in rows:
            read.setdefault(probe, []).append((second, _number(value), quality))
        probes = {probe: self._probe(probe, some) for probe, some in read.items()}
        return {"at": at, "every_s": self._station.sample_every_s, "probes": probes}

    def _probe(self, probe: str, read: list[tuple[int, float | None, str]]) -> dict[str, Any]:
        plan = self._station.probe(probe)
        vessels = [vessel.id for vessel in self._station.vessels if probe in vessel.probes]
        seconds, values, qualities = zip(*read, strict=True)
        first, every_s = seconds[0], self._station.sample_every_s
        regular = all(second == first + i * every_s for i, second in enumerate(seconds))
        return {
            "measure": _UNKNOWN if plan is None else plan.measures.value,
            "vessel": vessels[0] if len(vessels) == 1 else None,
            **({"first": first} if regular else {"seconds": list(seconds)}),
            "values": list(values),
            "quality": qualities[0] if len(set(qualities)) == 1 else list(qualities),
        }

    def _alarm(self, alarm: int) -> dict[str, Any]:
        row = self._connection.execute(
            "SELECT at, vessel, condition, probe, state, value, since FROM alarm WHERE id = ?", (alarm,)
        ).fetchone()
        if row is None:
            return _gone(alarm)
        names = ("at", "vessel", "condition", "probe", "state", "value", "since")
        said = dict(zip(names, row, strict=True))
        return {"id": alarm, **said, "value": _number(said["value"])}

    def _deed(self, deed: int) -> dict[str, Any]:
        row = self._connection.execute(
            "SELECT at, vessel, deed, amount, unit, detail, recorded_at, withdrawn_at, replaces "
            "FROM deed WHERE id = ?",
            (deed,),
        ).fetchone()
        if row is None or row[2] not in KINDS:
            return _gone(deed)
        at, vessel, word, amount, unit, detail, recorded_at, withdrawn_at, replaces = row
        kind = KINDS[word]
        return {
            "id": deed,
            "at": at,
            "vessel": vessel,
            "deed": word,
            "amount": _number(amount),
            "unit": unit if unit in (kind.unit, *kind.other_units) else "",
            "detail": _detail(kind, json.loads(detail)),
            "recorded_at": recorded_at,
            "withdrawn_at": withdrawn_at,
            "replaces": replaces,
        }

    def _estimate(self, at: int) -> dict[str, Any]:
        if self._quantities is None:
            self._quantities = estimate_store.quantities(self._connection)
        vessels: dict[str, dict[str, list[float | None]]] = {}
        for vessel, quantity, *range_ in estimate_store.at_moment(self._connection, self._quantities, at):
            believed = [_number(one, most=math.inf) for one in range_]
            if None not in believed:
                vessels.setdefault(vessel, {})[quantity] = believed
        return {"at": at, "vessels": vessels}

    def _letter(self, letter: int) -> dict[str, Any]:
        row = self._connection.execute(
            "SELECT at, kind, state, number, sent_at FROM letter WHERE id = ?", (letter,)
        ).fetchone()
        if row is None:
            return _gone(letter)
        at, kind, state, number, sent_at = row
        deliveries = self._connection.execute(
            "SELECT carrier, state, attempts, sent_at FROM delivery WHERE letter = ? ORDER BY carrier",
            (letter,),
        )
        return {
            "id": letter,
            "at": at,
            "letter": kind if kind in LETTER_KINDS else _UNKNOWN,
            "state": state,
            "number": number,
            "sent_at": sent_at,
            "deliveries": [
                {
                    "carrier": carrier if carrier in _CARRIERS else _UNKNOWN,
                    "state": how,
                    "attempts": attempts,
                    "sent_at": went_at,
                }
                for carrier, how, attempts, went_at in deliveries
            ],
        }


def _gone(row: int) -> dict[str, Any]:
    return {"id": row, "gone": True}


def _detail(kind: Kind, detail: Mapping[str, Any]) -> dict[str, Any]:
    """What is a number or one of a few words; of a free text nothing, of a tin's name a digest."""
    told: dict[str, Any] = {name: _number(detail[name]) for name in kind.numbers if name in detail}
    for name, choices in kind.words.items():
        if choices is not None and detail.get(name) in choices:
            told[name] = detail[name]
    if isinstance(detail.get("lot"), str):
        told["lot"] = hashlib.sha256(detail["lot"].casefold().encode()).hexdigest()[:_LOT_DIGITS]
    return told


def _number(value: object, most: float = _TOO_LARGE) -> float | None:
    """A number with ten digits, more than any probe has; None for what no centre could keep."""
    if isinstance(value, int | float) and math.isfinite(value) and abs(value) < most:
        return float(f"{value:.10g}")
    return None
