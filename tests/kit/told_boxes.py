"""Boxes as stations tell them, and the line over which a database is told."""

import json
from collections.abc import Sequence
from typing import Any

import psycopg

HOUR = 1_800_000_000
Line = psycopg.Connection[tuple[Any, ...]]
Told = tuple[str, dict[str, Any]]


def take(line: Line, told: Sequence[Told]) -> int:
    keys, boxes = [key for key, _ in told], [json.dumps(box) for _, box in told]
    row = line.execute("SELECT take(%s::text[], %s::jsonb[])", (keys, boxes)).fetchone()
    assert row is not None
    return int(row[0])


def hour(n: int, at: int = HOUR, **probes: list[float | None]) -> dict[str, Any]:
    said = {
        probe: {"measure": "water_c", "vessel": "a", "first": 5, "values": values, "quality": "good"}
        for probe, values in probes.items()
    }
    return {"v": 1, "n": n, "kind": "hour", "at": at, "every_s": 60, "probes": said}


def deed(n: int, its_id: int = 1, **more: Any) -> dict[str, Any]:
    said = {"vessel": "a", "deed": "feed", "amount": 0.5, "unit": "g", "detail": {"food": "yeast"}}
    last = {"recorded_at": HOUR, "withdrawn_at": None, "replaces": None}
    return {"v": 1, "n": n, "kind": "deed", "id": its_id, "at": HOUR, **said, **last, **more}


def alarm(
    n: int,
    its_id: int = 1,
    state: str = "unacknowledged",
    **more: Any,
) -> dict[str, Any]:
    said = {"vessel": "a", "condition": "hot", "probe": "", "state": state, "value": 31.0, "since": HOUR}
    return {"v": 1, "n": n, "kind": "alarm", "id": its_id, "at": HOUR + its_id, **said, **more}


def letter(n: int, its_id: int = 1, attempts: int = 0, **more: Any) -> dict[str, Any]:
    way = {"carrier": "smtp", "state": "queued", "attempts": attempts, "sent_at": None}
    said = {"letter": "hot", "state": "queued", "number": 3, "sent_at": None, "deliveries": [way]}
    return {"v": 1, "n": n, "kind": "letter", "id": its_id, "at": HOUR, **said, **more}


def estimate(n: int, at: int = HOUR, **quantities: list[float]) -> dict[str, Any]:
    return {"v": 1, "n": n, "kind": "estimate", "at": at, "vessels": {"a": quantities} if quantities else {}}
