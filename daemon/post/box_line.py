"""Boxes to a centre and its receipts, over the connection that keeps the retained topics."""

import logging
import queue
import threading
from collections.abc import Collection
from typing import Any

from daemon.errors import InputError
from daemon.record import topics
from daemon.record.box import receipted

log = logging.getLogger(__name__)


class BoxLine:
    """One station's boxes. What comes from the broker is kept only where it is awaited.

    Packets larger than any receipt (`most_received_bytes`) the broker keeps to itself.
    """

    most_received_bytes = 70_000

    def __init__(self, key: str, wake: threading.Event) -> None:
        """`key` is the station's; who waits for receipts is woken by `wake`."""
        self._box, self._receipt = topics.box(key), topics.receipt(key)
        self._wake = wake
        self._client: Any = None
        self._lock = threading.Lock()
        self._connections = 0
        self._standing = False
        self._complained = False
        self._awaited: frozenset[int] = frozenset()
        self._impatient = False
        self._received: set[int] = set()
        # By paho's number of a message that the broker has not acknowledged: the box's.
        self._flying: dict[int, int] = {}
        self._acknowledged: queue.SimpleQueue[int] = queue.SimpleQueue()

    # --- for the desk, in the beat's thread ---

    def standing(self) -> int | None:
        """The number of the connection that stands; None where none does."""
        with self._lock:
            self._hear()
            return self._connections if self._standing else None

    def awaits(self, numbers: Collection[int], *, impatient: bool) -> None:
        """Receipts for these, and no others, are kept; who is `impatient` is woken by one."""
        with self._lock:
            self._awaited, self._impatient = frozenset(numbers), impatient

    def send(self, n: int, payload: bytes) -> None:
        """Send a box, unless it is still on its way to the broker: then paho sees to it.

        Without a connection nothing is heaped up.
        """
        with self._lock:
            self._hear()
            if self._standing and n not in self._flying.values():
                self._flying[self._client.publish(self._box, payload, qos=1).mid] = n

    def received(self) -> set[int]:
        """The numbers that receipts have come for since the last time."""
        with self._lock:
            received, self._received = self._received, set()
        return received

    def _hear(self) -> None:
        while not self._acknowledged.empty():
            self._flying.pop(self._acknowledged.get(), None)

    # --- for the connection, in paho's thread ---

    def taken_by(self, client: Any) -> None:
        """Go over the connection of this client, which has not begun to connect."""
        self._client = client
        client.on_message = self._on_message
        client.on_subscribe = self._on_subscribe

    def connected(self) -> None:
        """The connection stands; the broker may know nothing of the one before."""
        self._client.subscribe(self._receipt, qos=1)
        with self._lock:
            self._connections += 1
            self._standing, self._complained = True, False

    def gone(self) -> None:
        """The connection stands no more."""
        with self._lock:
            self._standing = False

    def published(self, mid: int, reason: Any) -> None:
        """The broker has acknowledged a message; called under a lock of paho's, so without ours."""
        self._acknowledged.put(mid)
        if reason is not None and reason.is_failure:
            self._complain(f"a message was refused: {reason}")

    def _on_subscribe(self, _client: Any, _data: Any, _mid: int, reasons: Any, _properties: Any) -> None:
        if any(reason.is_failure for reason in reasons):
            self._complain(f"receipts are refused: {reasons[0]}; boxes are kept, and sent again")

    def _on_message(self, _client: Any, _data: Any, message: Any) -> None:
        if message.topic != self._receipt:
            return
        try:
            numbers = receipted(message.payload)
        except InputError as error:
            self._complain(f"{error}; it was ignored")
            return
        with self._lock:
            known = self._awaited.intersection(numbers)
            self._received |= known
            if known and self._impatient:
                self._wake.set()

    def _complain(self, fault: str) -> None:
        """Log a fault, one a connection: who sends nonsense fills no disk."""
        if not self._complained:
            log.warning("mqtt: the record: %s", fault)
        self._complained = True
