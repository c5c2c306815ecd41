"""Gatherers as processes, and stations that tell a broker boxes, for tests."""

import signal
import subprocess
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from paho.mqtt import client as mqtt
from paho.mqtt.enums import CallbackAPIVersion

from daemon.record import topics
from daemon.record.box import Box, packed, receipted
from tests.kit.command_line import PATIENCE_S, begin, surroundings, until

GROUP = "seven-salt-lakes"
# None is dropped.
ROOMY = "allow_anonymous true\nmax_queued_messages 0\n"


def gather_file(folder: Path, port: int, dsn: str, name: str = "one") -> Path:
    """A gatherer's file, of which the name is part."""
    path = folder / f"gather-{name}.toml"
    path.write_text(
        f'[broker]\nhost = "localhost"\nport = {port}\nsecurity = "plain-on-loopback"\n'
        f'[database]\ndsn = "{dsn}"\n[gatherer]\nid = "{name}"\ngroup = "{GROUP}"\n',
        "utf-8",
    )
    return path


class Gathering:
    """A gatherer that runs; its log stands in a file beside its own."""

    def __init__(self, config: Path, environ: Mapping[str, str]) -> None:
        self._config = config
        self._environ = {**surroundings(), **environ}
        self._log = config.with_suffix(".log")
        self.process: subprocess.Popen[str] | None = None

    def start(self) -> None:
        with self._log.open("a") as log:
            words = ("gather", "--config", self._config)
            how = {"stdout": log, "stderr": log, "env": self._environ}
            self.process = begin(*words, folder=self._config.parent, **how)

    def kill(self) -> None:
        assert self.process is not None
        self.process.kill()
        self.process.wait(PATIENCE_S)

    def signal(self, number: signal.Signals) -> None:
        assert self.process is not None
        self.process.send_signal(number)

    def stop(self) -> int:
        assert self.process is not None
        self.process.terminate()
        return self.process.wait(PATIENCE_S)

    def said(self, words: str) -> int:
        """How many lines of its log hold these words."""
        return sum(words in line for line in self.log().splitlines())

    def log(self) -> str:
        return self._log.read_text("utf-8") if self._log.exists() else ""

    def until_it_said(self, words: str, times: int = 1) -> None:
        until(f"{words!r} {times} times in\n{self.log()}", lambda: self.said(words) >= times)


@contextmanager
def gathering(config: Path, until_it_said: str = "is reached", **environ: str) -> Iterator[Gathering]:
    """A gatherer that has reached its broker, or said else what is waited for."""
    made = Gathering(config, environ)
    made.start()
    try:
        made.until_it_said(until_it_said)
        yield made
    finally:
        if made.process is not None and made.process.poll() is None:
            made.stop()


class TellingStation:
    """A station's end of the line: it tells boxes, and forgets one on its receipt only."""

    def __init__(self, port: int, key: str) -> None:
        self.key = key
        self.owed: dict[int, bytes] = {}
        self._lock = threading.Lock()
        heard = threading.Event()
        self._client = mqtt.Client(CallbackAPIVersion.VERSION2, client_id=key, protocol=mqtt.MQTTv5)
        self._client.max_inflight_messages_set(1000)
        self._client.on_message = self._on_message
        self._client.on_subscribe = lambda *_: heard.set()
        self._client.on_connect = lambda client, *_: client.subscribe(topics.receipt(key), qos=1)
        self._client.reconnect_delay_set(1, 1)
        self._client.connect("127.0.0.1", port)
        self._client.loop_start()
        assert heard.wait(PATIENCE_S)

    def tell(self, *boxes: Box) -> None:
        with self._lock:
            self.owed |= {box.n: packed(box) for box in boxes}
        self.send(*(packed(box) for box in boxes))

    def send(self, *payloads: bytes, qos: int = 1) -> None:
        for sent in [self._client.publish(topics.box(self.key), payload, qos=qos) for payload in payloads]:
            sent.wait_for_publish(PATIENCE_S)

    def tell_again(self) -> bool:
        """Send what is owed once more; whether anything is."""
        with self._lock:
            owed = [*self.owed.values()]
        self.send(*owed)
        return bool(owed)

    def _on_message(self, _client: Any, _data: Any, message: Any) -> None:
        with self._lock:
            for n in receipted(message.payload):
                self.owed.pop(n, None)

    def close(self) -> None:
        self._client.disconnect()
        self._client.loop_stop()


@contextmanager
def telling(port: int, key: str) -> Iterator[TellingStation]:
    made = TellingStation(port, key)
    try:
        yield made
    finally:
        made.close()
