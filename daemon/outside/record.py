"""The record of a station that a centre keeps: begun or ended at a start, and put together."""

import threading
from dataclasses import dataclass
from typing import Protocol

from daemon.clock import Clock
from daemon.outside.record_desk import RecordDesk
from daemon.post.box_line import BoxLine
from daemon.record import topics
from daemon.station import Broker, Station
from daemon.store import outbox
from daemon.store.file import WritingStore


class Told(Protocol):
    """What the record needs to know of the house, and tells it."""

    @property
    def clock(self) -> Clock:
        """The station's."""

    @property
    def clock_is_sure(self) -> bool:
        """Whether the clock is known to be right."""

    def record_is_full(self, full: bool, /) -> None:
        """Boxes had to be given up, or there is room again."""


@dataclass(frozen=True, slots=True)
class Record:
    """What a recorded station has more: a desk that looks after beats, and a line; what leads its topics."""

    base: str
    line: BoxLine
    desk: RecordDesk


def take_up(store: WritingStore, broker: Broker | None, at: int) -> None:
    """Begin to owe the centre what is written, or cease to. `at` is now, Unix seconds."""
    with store.transaction() as connection:
        if broker is not None and broker.record:
            outbox.begin(connection, broker.user or "", at)
        else:
            outbox.end(connection)


def recorded(
    station: Station, broker: Broker, store: WritingStore, house: Told, wake: threading.Event
) -> Record:
    """The record of a station whose outbox has begun; `wake` wakes the loop when a receipt is waited for."""
    key = broker.user or ""
    line = BoxLine(key, wake)
    desk = RecordDesk(
        station,
        store,
        line,
        most=broker.record_boxes,
        monotonic_s=house.clock.monotonic_s,
        is_sure=lambda: house.clock_is_sure,
        is_full=house.record_is_full,
    )
    return Record(topics.base(key), line, desk)
