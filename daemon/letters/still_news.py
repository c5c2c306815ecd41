"""Whether a letter that waited would still say something that no letter said meanwhile."""

import sqlite3

from daemon.alarms.conditions import CONDITIONS
from daemon.alarms.lifecycle import ACTIVE, State
from daemon.letters.said_before import speaks, when
from daemon.seconds import DAY_S
from daemon.station import Station
from daemon.store import alarms as alarm_store
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.store.alarms import AlarmRow
from daemon.store.letters import LetterRow
from sensors.reading import Measure

_LOOKS_BACK_S = 21 * DAY_S
_WARMTH = ("cold", "hot")


def still_news(station: Station, connection: sqlite3.Connection, row: LetterRow, at: int) -> bool:
    """Whether one of the alarms of a held letter's kind stands that rang since the last letter of that kind.

    The alarm that it was held for may be over, and another of its kind stand on that was told of before. A
    letter that no alarm brought, since it is the noon or a week later, is always news; one of warmth is not
    where nothing was read since that is believed.
    """
    changes = [one for one in alarm_store.between(connection, 0, at) if _concerns(one, row)]
    if not any(one.at == row.at and _rings(one) for one in changes):
        return True
    told_at = _last_told(connection, row, at)
    if told_at and row.kind in _WARMTH and not _read_since(station, connection, row, (told_at, at)):
        return False
    # By the order of their rows: what turned out later may have been before.
    standing = {_key(one): one for one in alarm_store.standing(connection, at) if _concerns(one, row)}
    rung_at = {_key(one): one.at for one in changes if _rings(one)}
    return any(
        State(one.state) in ACTIVE and rung_at.get(key, 0) > told_at for key, one in standing.items()
    ) or not any(State(one.state) in ACTIVE for one in standing.values())  # its writer says what has become


def _last_told(connection: sqlite3.Connection, row: LetterRow, at: int) -> int:
    alike = (
        one
        for one in letter_store.between(connection, at - _LOOKS_BACK_S, at)
        if one.id != row.id and one.kind == row.kind and {*one.about} & {*row.about} and speaks(one)
    )
    return max((when(one) for one in alike if one.state != "held" and when(one) <= at), default=0)


def _read_since(
    station: Station, connection: sqlite3.Connection, row: LetterRow, span: tuple[int, int]
) -> bool:
    vessels = [vessel for vessel in station.vessels if vessel.id in row.about]
    probes = [plan for vessel in vessels if (plan := station.probe_of(vessel, Measure.WATER_C)) is not None]
    return any(reading_store.good_values(connection, plan.id, span[0] + 1, span[1]) for plan in probes)


def _concerns(change: AlarmRow, row: LetterRow) -> bool:
    condition = CONDITIONS.get(change.condition)
    return condition is not None and condition.letter == row.kind and change.vessel in row.about


def _rings(change: AlarmRow) -> bool:
    return State(change.state) is State.UNACKNOWLEDGED


def _key(change: AlarmRow) -> tuple[str, str, str]:
    return change.vessel, change.condition, change.probe
