"""Puts together what takes readings and requests, for the daemon and for a command that finds none."""

import sqlite3
from dataclasses import dataclass

from daemon.letters.alarm_letters import AlarmLetters
from daemon.requests.alarm_shelf_desk import AlarmShelfDesk
from daemon.requests.care_desk import CareDesk
from daemon.requests.grounds_desk import GroundsDesk
from daemon.requests.request_desk import RequestDesk
from daemon.station import Station
from daemon.watching.alarm_desk import AlarmDesk
from daemon.watching.beliefs import Beliefs
from daemon.watching.snapshot.kept import Kept


@dataclass(frozen=True, slots=True)
class Desks:
    """What a station's store is worked on by, whoever asks."""

    beliefs: Beliefs
    alarm_letters: AlarmLetters
    alarms: AlarmDesk
    care: CareDesk
    shelf: AlarmShelfDesk
    requests: RequestDesk


def assemble(station: Station, connection: sqlite3.Connection, now: int, kept: Kept | None = None) -> Desks:
    """Believe what the store says up to `now` (Unix s), where it can from what was kept of it.

    `alarms.take_up` restores the alarms.
    """
    beliefs = Beliefs(station, connection, now, kept)
    alarm_letters = AlarmLetters(station, connection, beliefs)
    alarms = AlarmDesk(station, connection, beliefs, alarm_letters.rang, alarm_letters.urge)
    care = CareDesk(station, connection, beliefs, alarms.watch, alarms.take)
    shelf = AlarmShelfDesk(station, connection, alarms.watch, alarms.take)
    requests = RequestDesk(connection, beliefs, care, shelf, GroundsDesk(station, beliefs))
    return Desks(beliefs, alarm_letters, alarms, care, shelf, requests)
