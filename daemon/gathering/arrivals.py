"""What has come and is not kept yet: bounded, whatever a broker or a station sends."""

import threading
from collections import deque
from dataclasses import dataclass

# What a broker is asked to send before the first of it is acknowledged (Receive Maximum).
MOST_UNDER_WAY = 100
# Mosquitto 2.0.11 keeps to that at first only: after an acknowledgement it sends all that waits.
MOST_WAITING = 1000
_MOST_BYTES = 50_000_000


@dataclass(frozen=True, slots=True)
class Arrival:
    """A message as it came. `connection` counts connections: an acknowledgement is good on its own only.

    `mid` and `qos` are the broker's.
    """

    topic: str
    payload: bytes
    mid: int
    qos: int
    connection: int


class Arrivals:
    """Messages between the thread that receives and the one that keeps."""

    def __init__(self) -> None:
        """Nothing has come."""
        self._waiting: deque[Arrival] = deque()
        self._bytes = 0
        self._come = threading.Condition()

    def put(self, arrival: Arrival) -> bool:
        """Whether there was room. What needs no acknowledgement gets less of it: no broker bounds that."""
        with self._come:
            most = MOST_WAITING if arrival.qos else MOST_UNDER_WAY
            if len(self._waiting) >= most or self._bytes + len(arrival.payload) > _MOST_BYTES:
                return False
            self._waiting.append(arrival)
            self._bytes += len(arrival.payload)
            self._come.notify()
            return True

    def forget(self) -> None:
        """The line broke: the broker sends anew what it holds unacknowledged."""
        with self._come:
            self._waiting.clear()
            self._bytes = 0

    def take(self, patience_s: float) -> list[Arrival]:
        """What waits, at most so much as may be under way; nothing where nothing comes for `patience_s`."""
        with self._come:
            self._come.wait_for(lambda: self._waiting, patience_s)
            count = min(len(self._waiting), MOST_UNDER_WAY)
            taken = [self._waiting.popleft() for _ in range(count)]
            self._bytes -= sum(len(one.payload) for one in taken)
            return taken

    def __len__(self) -> int:
        return len(self._waiting)
