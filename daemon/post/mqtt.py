"""How things stand, on an MQTT 5 broker (OASIS, 7 March 2019): retained, at least once, by paho-mqtt."""

import importlib.util
import logging
import queue
import socket
import ssl
import threading
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from daemon.errors import InputError
from daemon.post.network import loopback_addresses
from daemon.seconds import HOUR_S
from daemon.station import Broker

if TYPE_CHECKING:  # few stations are recorded
    from daemon.post.box_line import BoxLine

log = logging.getLogger(__name__)

_KEEPALIVE_S = 60
_SESSION_S = HOUR_S
# What is not published anew for so long is no longer how things stand: the broker drops it.
_EXPIRES_S = 2 * HOUR_S
_RETRY_S = (1, 300)
_LEAVING_S = 2.0


def check_installed() -> None:
    """Raise InputError, naming the extra, where `[mqtt]` is given and paho-mqtt is not installed."""
    if importlib.util.find_spec("paho") is None:
        raise InputError(
            "station.toml: mqtt: found no paho-mqtt installed; allowed: with the extra mqtt "
            "(pip install 'naupliad[mqtt]'), or no table [mqtt]"
        )


class RetainedTopics:
    """Keeps topics on a broker as they were last published; reconnects by itself, more and more slowly."""

    def __init__(
        self,
        broker: Broker,
        password: str | None,
        base: str,
        *,
        context: ssl.SSLContext | None = None,
        retry_s: tuple[int, int] = _RETRY_S,
        boxes: "BoxLine | None" = None,
    ) -> None:
        """Begin to connect, in a thread of paho's own. `base` leads every topic and names the client.
        `boxes` go over the same connection: a broker may let each user have one.

        `BASE/online` is true while the connection stands; the broker itself sets it false (last will).
        `retry_s` are the first and the longest pause between tries, in seconds.
        """
        from paho.mqtt import client as mqtt  # imported late: it is an extra
        from paho.mqtt.enums import CallbackAPIVersion
        from paho.mqtt.packettypes import PacketTypes
        from paho.mqtt.properties import Properties

        self._base = base
        self._online = f"{base}/online"
        self._broker = broker
        self._lock = threading.Lock()
        self._wanted: dict[str, str] = {}
        self._shown: set[str] = set()
        self._connections = 0
        self._connected = False
        self._owed = False
        self._unacknowledged: set[int] = set()
        self._acknowledged: queue.SimpleQueue[int] = queue.SimpleQueue()
        self._heard = threading.Event()
        self._failing = False
        self._boxes = boxes
        self._expiring = Properties(PacketTypes.PUBLISH)  # type: ignore[no-untyped-call]  # paho forgot
        self._expiring.MessageExpiryInterval = _EXPIRES_S
        client = mqtt.Client(
            CallbackAPIVersion.VERSION2, client_id=base.replace("/", "-"), protocol=mqtt.MQTTv5
        )
        self._client = client
        host = broker.host
        if broker.security == "tls":
            client.tls_set_context(context or ssl.create_default_context())
        else:
            host = reachable_loopback(broker)
        if broker.user is not None:
            client.username_pw_set(broker.user, password)
        client.will_set(self._online, '{"value": false}', qos=1, retain=True)
        client.reconnect_delay_set(*retry_s)
        client.on_connect = self._on_connect
        client.on_connect_fail = self._on_connect_fail
        client.on_disconnect = self._on_disconnect
        client.on_publish = self._on_publish
        session = Properties(PacketTypes.CONNECT)  # type: ignore[no-untyped-call]  # as above
        session.SessionExpiryInterval = _SESSION_S
        if boxes is not None:
            boxes.taken_by(client)
            session.MaximumPacketSize = boxes.most_received_bytes
        client.connect_async(host, broker.port, _KEEPALIVE_S, properties=session)
        client.loop_start()

    def publish(self, topics: Mapping[str, str]) -> None:
        """Have these topics, below `base`, say this JSON; what stood there and no longer does goes.

        Without a connection nothing is heaped up: what was published last goes out when there is one.
        """
        with self._lock:
            changed = {name: said for name, said in topics.items() if self._wanted.get(name) != said}
            self._wanted = dict(topics)
            if self._connected and not self._owed:
                self._send(changed)

    def close(self) -> None:
        """Leave; the broker says that the station is off, as it would if the line broke."""
        from paho.mqtt.packettypes import PacketTypes
        from paho.mqtt.reasoncodes import ReasonCode

        with self._lock:
            self._connected = False
        self._client.disconnect(reasoncode=ReasonCode(PacketTypes.DISCONNECT, "Disconnect with will message"))
        # A broker that takes nothing more must not hold up the daemon's end.
        leaving = threading.Thread(target=self._client.loop_stop, name="mqtt leaving", daemon=True)
        leaving.start()
        leaving.join(_LEAVING_S)

    def _send(self, changed: Mapping[str, str]) -> None:
        """Show what has changed, and take down what is wanted no longer. With the lock held."""
        gone = self._shown - self._wanted.keys()
        for name, said in {**dict.fromkeys(gone, ""), **changed}.items():
            topic = f"{self._base}/{name}"
            sent = self._client.publish(topic, said, qos=1, retain=True, properties=self._expiring)
            self._unacknowledged.add(sent.mid)
        self._shown = set(self._wanted)
        self._hear()

    def _hear(self) -> None:
        while not self._acknowledged.empty():
            self._unacknowledged.discard(self._acknowledged.get())

    def _catch_up(self, connection: int) -> None:
        """Publish everything anew, once what the broker missed has gone out again.

        paho sends unacknowledged messages once more after a break: sent before them, the newest word would
        be covered by an older one, and stay so.
        """
        while True:
            self._heard.clear()
            with self._lock:
                self._hear()
                if not self._connected or connection != self._connections:
                    return
                if not self._unacknowledged:
                    self._owed = False
                    self._send(self._wanted)
                    return
            self._heard.wait(1.0)

    def _on_publish(self, _client: Any, _data: Any, mid: int, reason: Any, _properties: Any) -> None:
        # Without our lock: paho calls this under one of its own, which our publishing waits for.
        self._acknowledged.put(mid)
        self._heard.set()
        if self._boxes is not None:
            self._boxes.published(mid, reason)

    def _on_connect(self, _client: Any, _data: Any, _flags: Any, reason: Any, _properties: Any) -> None:
        if reason.is_failure:
            self._fail(f"refused the connection: {reason}")
            return
        log.info("mqtt: %s:%d is reached", self._broker.host, self._broker.port)
        with self._lock:
            self._failing = False
            self._connected = True
            self._owed = True
            self._connections += 1
            self._client.publish(self._online, '{"value": true}', qos=1, retain=True)
            catching_up = threading.Thread(
                target=self._catch_up, args=(self._connections,), name="mqtt catching up", daemon=True
            )
        catching_up.start()
        if self._boxes is not None:
            self._boxes.connected()

    def _on_disconnect(self, _client: Any, _data: Any, _flags: Any, reason: Any, _properties: Any) -> None:
        with self._lock:
            self._connected = False
        if self._boxes is not None:
            self._boxes.gone()
        if reason.is_failure:
            self._fail(f"the line is gone: {reason}")

    def _on_connect_fail(self, _client: Any, _data: Any) -> None:
        self._fail("cannot be reached")

    def _fail(self, fault: str) -> None:
        """Log a failure once until it is over."""
        if not self._failing:
            log.warning("mqtt: %s:%d: %s; it is tried again", self._broker.host, self._broker.port, fault)
        self._failing = True


def reachable_loopback(broker: Broker) -> str:
    """The address of this machine at which the broker listens. Raises Unreachable for another machine's."""
    where = f"mqtt: {broker.host}:{broker.port}"
    addresses = loopback_addresses(broker.host, broker.port, where, "security plain-on-loopback")
    for address in addresses[:-1]:
        try:
            with socket.create_connection((address, broker.port), timeout=1.0):
                return address
        except OSError:
            continue
    return addresses[-1]
