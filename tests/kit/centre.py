"""A centre for tests: hears boxes on a broker and sends receipts, or none; and a line that is recorded."""

import queue
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Any

from paho.mqtt import client as mqtt
from paho.mqtt.enums import CallbackAPIVersion

from daemon.record import topics
from daemon.record.box import Box, receipt, unpacked


class Centre:
    """Keeps of each thing what came under the highest number. Answers boxes for which `answers` says so."""

    def __init__(self, port: int, answers: Callable[[Box], int]) -> None:
        """`answers` gives how many receipts a box gets."""
        self.answers = answers
        self.heard: list[tuple[str, Box]] = []
        self.kept: dict[tuple[str, str, Any], Box] = {}
        self.ready = threading.Event()
        self._client = mqtt.Client(CallbackAPIVersion.VERSION2, protocol=mqtt.MQTTv5)
        self._client.reconnect_delay_set(1, 1)
        self._client.on_connect = lambda client, *_: client.subscribe(topics.ALL_BOXES, qos=1)
        self._client.on_subscribe = lambda *_: self.ready.set()
        self._client.on_message = self._on_message
        self._client.connect("127.0.0.1", port)
        self._client.loop_start()

    def _on_message(self, client: Any, _data: Any, message: Any) -> None:
        key, box = topics.key_of_box(message.topic), unpacked(message.payload)
        assert key is not None
        self.heard.append((key, box))
        what = (key, box.kind, box.body.get("id", box.body.get("at")))
        if what not in self.kept or self.kept[what].n < box.n:
            self.kept[what] = box
        for _ in range(self.answers(box)):
            client.publish(topics.receipt(key), receipt([box.n]), qos=1)

    def answer_all(self, key: str) -> None:
        """One receipt for everything that was ever heard."""
        self.say(topics.receipt(key), receipt([box.n for _, box in self.heard]))

    def say(self, topic: str, payload: bytes) -> None:
        """Publish anything."""
        self._client.publish(topic, payload, qos=1)

    def close(self) -> None:
        self._client.disconnect()
        self._client.loop_stop()


@contextmanager
def centre(port: int, answers: Callable[[Box], int] = lambda _box: 1) -> Iterator[Centre]:
    """A centre that listens by now."""
    made = Centre(port, answers)
    try:
        assert made.ready.wait(60)
        yield made
    finally:
        made.close()


@contextmanager
def recorded_line(port: int) -> "Iterator[tuple[int, queue.SimpleQueue[bytes]]]":
    """A port that leads to another; in the queue is every byte that clients send there."""
    said: queue.SimpleQueue[bytes] = queue.SimpleQueue()
    with socket.create_server(("127.0.0.1", 0)) as server:

        def serve() -> None:
            with suppress(OSError):
                while True:
                    client, _ = server.accept()
                    there = socket.create_connection(("127.0.0.1", port))
                    for source, target, hears in ((client, there, said.put), (there, client, None)):
                        threading.Thread(target=_carry, args=(source, target, hears), daemon=True).start()

        threading.Thread(target=serve, daemon=True).start()
        yield server.getsockname()[1], said


def _carry(source: socket.socket, target: socket.socket, hears: Callable[[bytes], None] | None) -> None:
    with suppress(OSError):
        while data := source.recv(65536):
            if hears is not None:
                hears(data)
            target.sendall(data)
    for one in (source, target):
        with suppress(OSError):
            one.shutdown(socket.SHUT_RDWR)
        one.close()
