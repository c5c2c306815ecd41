"""naupliad now: the station's state and forecasts."""

import json
import sqlite3
from collections.abc import Mapping, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

import click

from daemon.cli.options import json_option, state_option
from daemon.letters.conversions import local, setting
from daemon.letters.night_record import night_record
from daemon.letters.short_words import waiting_in_words
from daemon.letters.storage import file_overlooked
from daemon.play_summary import last_estimates
from daemon.station import Station
from daemon.store import letters as letter_store
from daemon.stored_station import moment_of, open_station
from reports.explanation import Ground
from reports.letters.storage import file_overlooked_line
from reports.records import Event, NightRecord, Point, Setting
from reports.state import state_text


@click.command()
@click.option("--explain", is_flag=True, help="Say what each number was computed and learned from.")
@state_option
@json_option
def now(explain: bool, state: Path, as_json: bool) -> None:
    """Say how the cups stand, what is expected, and which letters wait.

    For what replay or rehearse wrote, now is the last reading.
    """
    station, connection = open_station(state)
    with closing(connection):
        at = moment_of(state, connection)
        record = night_record(station, connection, at)
        waiting = [
            Event(local(station, row.due_at), row.kind, waiting_in_words(row, station.language))
            for row in letter_store.in_state(connection, "held", "queued", "parked")
        ]
        overlooked = file_overlooked(station, connection)
        grounds = _grounds(state, station, connection, at) if explain else {}
        if as_json:
            answer = _as_json(station, connection, record, waiting, at)
            if station.is_recorded:
                answer["record"] = _record(station, connection)
            answer["station_file_not_taken"] = list(overlooked.faults) if overlooked else []
            for vessel_id, some in grounds.items():
                answer["vessels"][vessel_id]["grounds"] = [_ground_as_json(ground) for ground in some]
            click.echo(json.dumps(answer, indent=1, ensure_ascii=False))
            return
        place = setting(station, connection, at, clock_sure=record.clock_sure)
        click.echo(state_text(place, record, waiting))
        if overlooked is not None:
            click.echo("\n" + file_overlooked_line(place, overlooked))
        if station.is_recorded:
            _say_what_waits(place, station, connection, at)
        if grounds:
            from reports.explanation import explanation

            for vessel_id, some in grounds.items():
                vessel = station.vessel(vessel_id)
                count = 1 if vessel is None else vessel.count
                click.echo("\n" + explanation(place, vessel_id, count, some))


def _record(station: Station, connection: sqlite3.Connection) -> dict[str, Any]:
    """What waits for the centre; nothing before the daemon has begun to put it aside."""
    from daemon.store import outbox  # few stations are recorded

    waiting = outbox.waiting(connection)
    return {
        "boxes_waiting": waiting.boxes if waiting else None,
        "last_receipt": local(station, waiting.answered_at).isoformat() if waiting else None,
    }


def _say_what_waits(place: Setting, station: Station, connection: sqlite3.Connection, at: int) -> None:
    from daemon.letters.record_waiting import record_waits  # as above
    from reports.letters.record_full import record_waits_line

    waits = record_waits(station, connection, at)
    if waits is not None:
        click.echo("\n" + record_waits_line(place, waits))


def _newest(points: Sequence[Point]) -> Point | None:
    return next((point for point in reversed(points) if point.value is not None), None)


def _grounds(
    state: Path, station: Station, connection: sqlite3.Connection, at: int
) -> Mapping[str, Sequence[Ground]]:
    """What the numbers of each vessel were computed from: from beliefs, which nothing else here needs."""
    from daemon.letters.explanation import as_records
    from daemon.watching.beliefs import Beliefs
    from daemon.watching.snapshot.snapshots import Snapshots

    kept = Snapshots(state, station).found(connection, at)
    beliefs = Beliefs(station, connection, at, kept)
    return {vessel.id: as_records(station, beliefs.of(vessel.id).grounds(at)) for vessel in station.vessels}


def _ground_as_json(ground: Ground) -> dict[str, Any]:
    return {
        "model": ground.model,
        "quantities": list(ground.quantities),
        "from": ground.span.began.isoformat() if ground.span else None,
        "to": ground.span.ended.isoformat() if ground.span else None,
        "unread_s": round(ground.unread.total_seconds()),
        "learned_from": [
            {"kind": one.kind, "count": one.count, "last_at": one.last_at.isoformat()}
            for one in ground.observations
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
        newest, light = _newest(vessel.water_c), _newest(vessel.light)
        vessels[vessel.vessel] = {
            "stage": vessel.stage,
            "watched": vessel.watched,
            "batch_set_at": vessel.batch_set_at.isoformat() if vessel.batch_set_at else None,
            "water_c": newest.value if newest else None,
            "water_read_at": newest.at.isoformat() if newest else None,
            "light": light.value if light else None,
            "light_unit": vessel.light_unit,
            "light_read_at": light.at.isoformat() if light else None,
            "estimates": last_estimates(connection, vessel.vessel, at) if vessel.batch_set_at else {},
            "alarms": [
                {"condition": event.kind, "since": event.at.isoformat()} for event in vessel.open_alarms
            ],
            "silenced": [
                {
                    "condition": alarm.kind,
                    "since": alarm.since.isoformat(),
                    "until": alarm.until.isoformat() if alarm.until else None,
                    "by": alarm.by,
                }
                for alarm in vessel.silenced
            ],
        }
    return {
        "station": station.name,
        "at": local(station, at).isoformat(),
        "vessels": vessels,
        "doubts": [
            {"probe": event.kind, "text": event.text, "since": event.at.isoformat()}
            for event in record.doubts
        ],
        "waiting": [{"kind": event.kind, "due_at": event.at.isoformat()} for event in waiting],
        "next_letter_at": record.next_letter_at.isoformat() if record.next_letter_at else None,
    }
