"""How all rooms stand, asked of the database."""

from datetime import datetime
from typing import Any, LiteralString

import psycopg
from psycopg.rows import dict_row

from daemon.errors import NaupliadError
from daemon.gathering.database import check_prepared, in_a_line
from reports.rooms import Need, Rooms, SilentRoom

_NEEDS: LiteralString = (
    "SELECT key, label, vessel, condition, probe, state = 'acknowledged' AS acknowledged, since, urgency "
    "FROM needs_help ORDER BY urgency, since, key"
)
_SILENT: LiteralString = (
    "SELECT key, label, last_heard FROM station WHERE retired_at IS NULL "
    "AND (last_heard IS NULL OR last_heard < now() - make_interval(secs => %s)) "
    "ORDER BY last_heard NULLS FIRST, key"
)
_COUNTS: LiteralString = (
    "SELECT now() AS at, (SELECT count(*) FROM station WHERE retired_at IS NULL) AS count, "
    "(SELECT coalesce(sum(lately), 0) FROM refusal) AS refused"
)


def how_rooms_stand(connection: "psycopg.Connection[tuple[object, ...]]", silent_after_s: int) -> Rooms:
    """All that are not retired; silent is who was not heard for so long. Raises NaupliadError, InputError."""
    try:
        check_prepared(connection)
        with connection.cursor(row_factory=dict_row) as cursor:
            needs = [Need(**row) for row in cursor.execute(_NEEDS)]
            silent = [SilentRoom(**row) for row in cursor.execute(_SILENT, (silent_after_s,))]
            counts = cursor.execute(_COUNTS).fetchone() or {}
    except psycopg.Error as error:
        raise NaupliadError(f"the database: cannot be asked: {in_a_line(error)}") from error
    return Rooms(counts["at"], counts["count"], needs, silent, int(counts["refused"]))


def as_json(rooms: Rooms) -> dict[str, Any]:
    """The same for programs; moments are RFC 3339."""
    return {
        "at": _moment(rooms.at),
        "rooms": rooms.count,
        "needs_help": [
            {
                "key": need.key,
                "label": need.label,
                "vessel": need.vessel,
                "condition": need.condition,
                "probe": need.probe,
                "acknowledged": need.acknowledged,
                "since": _moment(need.since),
            }
            for need in rooms.needs
        ],
        "silent": [
            {"key": room.key, "label": room.label, "last_heard": room.last_heard and _moment(room.last_heard)}
            for room in rooms.silent
        ],
        "refused": rooms.refused,
    }


def _moment(at: datetime) -> str:
    return at.isoformat(timespec="seconds")
