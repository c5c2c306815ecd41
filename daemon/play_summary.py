"""summary.json: what a play came to, for other programs."""

import json
import sqlite3
from pathlib import Path
from typing import Any

from daemon.estimates.horizons import OF_THE_ABSENCE
from daemon.letters.conversions import local
from daemon.letters.span_record import expected_readings
from daemon.station import Station
from daemon.store import alarms as alarm_store
from daemon.store import estimates as estimate_store
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.file import SUMMARY
from daemon.store.letters import LetterRow

_DIGITS = 4


def summary(station: Station, connection: sqlite3.Connection, began: int, ended: int) -> dict[str, Any]:
    """The account of a stretch, in the form of the contract; times are local, RFC 3339."""

    def moment(at: int) -> str:
        return local(station, at).isoformat()

    return {
        "station": station.name,
        "from": moment(began),
        "to": moment(ended),
        "readings": {
            "expected": expected_readings(station, began, ended),
            "good": reading_store.count_good(connection, began - 1, ended),
        },
        "vessels": {
            vessel.id: {"estimates": last_estimates(connection, vessel.id, ended)}
            for vessel in station.vessels
        },
        "alarms": [
            {
                "at": moment(row.at),
                "vessel": row.vessel,
                "condition": row.condition,
                "state": row.state,
                "value": row.value,
            }
            for row in alarm_store.between(connection, began - 1, ended)
        ],
        "letters": [
            {
                "at": moment(row.sent_at or row.at),
                "kind": row.kind,
                "subject": row.subject,
                "file": letter_file(row),
            }
            for row in letter_store.sent_between(connection, began - 1, ended)
        ],
        "outages": [
            {"began": moment(outage.began), "ended": moment(outage.ended)}
            for outage in run_store.outages(connection, began, ended)
        ],
    }


def letter_file(row: LetterRow) -> str:
    """Where a letter that was sent to a folder lies in it."""
    return f"letters/{row.number:04d}-{row.kind}.eml"


def write_summary(folder: Path, account: dict[str, Any]) -> None:
    """Write summary.json into a folder."""
    text = json.dumps(account, indent=1, ensure_ascii=False)
    (folder / SUMMARY).write_text(text + "\n", encoding="utf-8")


def last_estimates(connection: sqlite3.Connection, vessel: str, until: int) -> dict[str, dict[str, float]]:
    """The last p10, p50 and p90 of all that is estimated each hour of a vessel, not after `until`."""
    rows = estimate_store.latest(connection, vessel, until)
    return {
        quantity: {"p10": round(p10, _DIGITS), "p50": round(p50, _DIGITS), "p90": round(p90, _DIGITS)}
        for quantity, (_, p10, p50, p90) in rows.items()
        if quantity not in OF_THE_ABSENCE
    }
