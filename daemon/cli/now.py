"""naupliad now: the station's state and forecasts."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import click

from daemon.cli.places import json_option, moment_of, open_station, state_option
from daemon.duties.believing import Beliefs
from daemon.duties.explaining import grounds_of
from daemon.duties.mishaps import file_overlooked
from daemon.duties.naming import waiting_in_words
from daemon.duties.nights import night_record
from daemon.duties.setting import local, setting
from daemon.duties.summary import last_estimates
from daemon.station import Station
from daemon.store import letters as letter_store
from daemon.store.file import check_current
from reports.explain import explanation
from reports.letters.file import file_overlooked_line
from reports.outlooks import Ground
from reports.records import Event, NightRecord
from reports.state import state_text


@click.command(short_help="Say how the cups stand and what is expected.")
@click.option("--explain", is_flag=True, help="Say what each number was computed and learned from.")
@state_option
@json_option
def now(explain: bool, state: Path, as_json: bool) -> None:
    """Say how the cups stand, what is expected, and what is waiting to be said.

    For what replay or rehearse wrote, now is the last reading.
    """
    station, connection = open_station(state)
    with closing(connection):
        check_current(state, connection)
        at = moment_of(state, connection)
        record = night_record(station, connection, at)
        waiting = [
            Event(local(station, row.due_at), row.kind, waiting_in_words(row, station.language))
            for row in letter_store.in_state(connection, "held", "queued", "parked")
        ]
        overlooked = file_overlooked(station, connection)
        grounds = grounds_of(station, Beliefs(station, connection, at), at) if explain else {}
        if as_json:
            told = _as_json(station, connection, record, waiting, at)
            told["station_file_not_taken"] = list(overlooked.faults) if overlooked else []
            for vessel_id, some in grounds.items():
                told["vessels"][vessel_id]["grounds"] = [_ground_as_json(ground) for ground in some]
            click.echo(json.dumps(told, indent=1, ensure_ascii=False))
            return
        place = setting(station, at, clock_sure=record.clock_sure)
        click.echo(state_text(place, record, waiting))
        if overlooked is not None:
            click.echo("\n" + file_overlooked_line(place, overlooked))
        for vessel_id, some in grounds.items():
            vessel = station.vessel(vessel_id)
            count = 1 if vessel is None else vessel.count
            click.echo("\n" + explanation(place, vessel_id, count, some))


def _ground_as_json(ground: Ground) -> dict[str, Any]:
    return {
        "model": ground.model,
        "quantities": list(ground.quantities),
        "from": ground.span.began.isoformat() if ground.span else None,
        "to": ground.span.ended.isoformat() if ground.span else None,
        "unread_s": round(ground.unread.total_seconds()),
        "learned_from": [
            {"kind": one.kind, "count": one.count, "last_at": one.last_at.isoformat()}
            for one in ground.taught
        ],
        "knowns": {
            name: {"p10": range_.p10, "p50": range_.p50, "p90": range_.p90} for name, range_ in ground.knowns
        },
    }


def _as_json(
    station: Station, connection: sqlite3.Connection, record: NightRecord, waiting: list[Event], at: int
) -> dict[str, Any]:
    vessels = {}
    for vessel in record.vessels:
        newest = next((point for point in reversed(vessel.water_c) if point.value is not None), None)
        vessels[vessel.vessel] = {
            "batch_set_at": vessel.batch_set_at.isoformat() if vessel.batch_set_at else None,
            "water_c": newest.value if newest else None,
            "water_read_at": newest.at.isoformat() if newest else None,
            "estimates": last_estimates(connection, vessel.vessel, at) if vessel.batch_set_at else {},
            "alarms": [
                {"condition": event.kind, "since": event.at.isoformat()} for event in vessel.open_alarms
            ],
        }
    return {
        "station": station.name,
        "at": local(station, at).isoformat(),
        "vessels": vessels,
        "waiting": [{"kind": event.kind, "due_at": event.at.isoformat()} for event in waiting],
        "next_letter_at": record.next_letter_at.isoformat() if record.next_letter_at else None,
    }
