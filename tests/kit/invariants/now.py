"""P. What `naupliad now` says is what the store says, at the end of a play."""

import json
from collections.abc import Iterator
from datetime import datetime
from typing import Any

from click.testing import CliRunner

from daemon.cli.now import now
from tests.kit.invariants.finding import Finding
from tests.kit.invariants.record import ACTIVE, ASIDE, Record

_WHERE = "naupliad now --json"


def _answer(record: Record) -> dict[str, Any]:
    said = CliRunner().invoke(now, ["--state", str(record.folder), "--json"], catch_exceptions=False)
    assert said.exit_code == 0, said.output
    return dict(json.loads(said.stdout))


def now_says_what_the_store_says(record: Record) -> Iterator[Finding]:
    """Of every vessel: its batch, its last trusted water, its beliefs and the alarms that stand."""
    answer = _answer(record)
    vessels, standing = answer["vessels"], _standing(record, answer)
    for vessel in record.station.vessels:
        said = vessels.get(vessel.id)
        if said is None:
            yield Finding(_WHERE, "nothing", f"{vessel.id} is a vessel of the station")
            continue
        water, set_at = record.water_of(vessel), record.set_at(vessel.id, record.ended)
        last = None if water is None else water.last(record.ended)
        if (said["batch_set_at"] is None) != (set_at is None):
            yield Finding(_WHERE, f"{vessel.id}: batch set {said['batch_set_at']}", f"it was set {set_at}")
        if said["water_c"] is not None and (last is None or abs(said["water_c"] - last[1]) > 0.01):
            yield Finding(_WHERE, f"{vessel.id}: {said['water_c']} °C", f"the last trusted is {last}")
        for quantity, middle in said["estimates"].items():
            near = record.beliefs_around(vessel.id, quantity, record.ended, 3600)
            if near and not any(abs(middle["p50"] - b.p50) <= 1e-3 + 1e-3 * abs(b.p50) for b in near):
                yield Finding(_WHERE, f"{vessel.id}: {quantity} {middle}", f"the store has {near[-1]}")
        stand = sorted(r.condition for r in standing if r.state in ACTIVE and r.vessel == vessel.id)
        told = sorted(alarm["condition"] for alarm in said["alarms"] if not alarm.get("silenced"))
        if told != stand:
            yield Finding(_WHERE, f"{vessel.id}: alarms {told}", f"{stand} stand")


def now_names_what_is_put_aside(record: Record) -> Iterator[Finding]:
    """An alarm that is shelved or out of service does not vanish."""
    answer = _answer(record)
    for row in _standing(record, answer):
        if row.state not in ASIDE or not row.vessel:
            continue
        said = json.dumps(answer["vessels"].get(row.vessel, {}))
        if f'"{row.condition}"' not in said:
            yield Finding(_WHERE, "nothing of it", f"{row.condition} of {row.vessel} is {row.state}")


def _standing(record: Record, answer: dict[str, Any]) -> list[Any]:
    """At the moment that the answer is of, its last reading: a play goes on until its next beat."""
    return list(record.standing(round(datetime.fromisoformat(answer["at"]).timestamp())).values())
