"""The line to the broker: boxes come in by a shared subscription, receipts go out."""

import logging
import socket
import ssl
import threading
from collections.abc import Iterable
from contextlib import suppress
from typing import Any

from paho.mqtt import client as mqtt
from paho.mqtt.enums import CallbackAPIVersion
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties

from daemon.gathering.arrivals import MOST_UNDER_WAY, Arrival, Arrivals
from daemon.gathering.plan import GatherPlan
from daemon.post.mqtt import reachable_loopback
from daemon.record import topics
from daemon.seconds import DAY_S

log = logging.getLogger(__name__)

_KEEPALIVE_S = 60
# No box is larger; the broker keeps what is from us, and a station that lies fills no memory here.
_MOST_BYTES = 1_000_000
_LEAVING_S = 2.0


class GatherLine:
    """Receives boxes, and acknowledges them when told so; reconnects by itself, more and more slowly."""

    def __init__(
        self,
        plan: GatherPlan,
        password: str | None,
        *,
        context: ssl.SSLContext | None = None,
        retry_s: tuple[int, int] = (1, 60),
    ) -> None:
        """Begin to connect, in a thread of paho's own. `retry_s` are the first and longest pause, in s."""
        self._plan = plan
        self._lock = threading.Lock()
        self._connection = 0
        self._connected = False
        self._failing = False
        self._overran = False
        self.arrivals = Arrivals()
        client = mqtt.Client(
            CallbackAPIVersion.VERSION2,
            client_id=f"naupliad-gather-{plan.id}",
            protocol=mqtt.MQTTv5,
            manual_ack=True,
        )
        self._client = client
        host = plan.broker.host
        if plan.broker.security == "tls":
            client.tls_set_context(context or ssl.create_default_context())
        else:
            host = reachable_loopback(plan.broker)
        if plan.broker.user is not None:
            client.username_pw_set(plan.broker.user, password)
        client.max_inflight_messages_set(MOST_UNDER_WAY)
        # A receipt that finds no room is not missed: its box comes again.
        client.max_queued_messages_set(10 * MOST_UNDER_WAY)
        client.reconnect_delay_set(*retry_s)
        client.on_connect = self._on_connect
        client.on_connect_fail = self._on_connect_fail
        client.on_disconnect = self._on_disconnect
        client.on_subscribe = self._on_subscribe
        client.on_message = self._on_message
        kept = Properties(PacketTypes.CONNECT)  # type: ignore[no-untyped-call]  # paho forgot
        kept.SessionExpiryInterval = DAY_S
        kept.ReceiveMaximum = MOST_UNDER_WAY
        kept.MaximumPacketSize = _MOST_BYTES
        client.connect_async(host, plan.broker.port, _KEEPALIVE_S, clean_start=False, properties=kept)
        client.loop_start()

    def acknowledge(self, arrivals: Iterable[Arrival]) -> None:
        """Tell the broker that these are kept; those of a line that broke come again anyway."""
        with self._lock:
            for one in arrivals:
                if self._connected and one.connection == self._connection:
                    self._client.ack(one.mid, one.qos)

    def ask_for_the_rest(self) -> None:
        """Where more came than there was room for: a new line brings what found none.

        For when nothing has come for a moment: by then the acknowledgements of the rest have gone out.
        """
        if not self._overran:
            return
        self._overran = False
        log.info("gather: %s sent more than there was room for; a new line brings the rest", self._where)
        line = self._client.socket()
        if isinstance(line, socket.socket):  # an SSLSocket is one, too
            with suppress(OSError):
                line.shutdown(socket.SHUT_RDWR)

    def send_receipt(self, key: str, payload: bytes) -> None:
        """Tell a station what is kept. Without a line nothing is heaped up: the station asks again."""
        with self._lock:
            if self._connected:
                self._client.publish(topics.receipt(key), payload, qos=1)

    def close(self) -> None:
        """Leave; the broker keeps the session, and what comes meanwhile, for a day."""
        with self._lock:
            self._connected = False
        self._client.disconnect()
        # A broker that takes nothing more must not hold up the end.
        leaving = threading.Thread(target=self._client.loop_stop, name="mqtt leaving", daemon=True)
        leaving.start()
        leaving.join(_LEAVING_S)

    def _on_connect(self, client: Any, _data: Any, _flags: Any, reason: Any, _properties: Any) -> None:
        if reason.is_failure:
            self._fail(f"refused the connection: {reason}")
            return
        log.info("gather: %s is reached", self._where)
        with self._lock:
            self._failing = False
            self._connection += 1
            self._connected = True
        self._overran = False
        self.arrivals.forget()
        client.subscribe(f"$share/{self._plan.group}/{topics.ALL_BOXES}", qos=1)

    def _on_subscribe(self, _client: Any, _data: Any, _mid: Any, reasons: Any, _properties: Any) -> None:
        if any(reason.is_failure for reason in reasons):
            log.error(
                "gather: %s gives this user no boxes: %s; look at its access list", self._where, reasons[0]
            )

    def _on_message(self, _client: Any, _data: Any, message: mqtt.MQTTMessage) -> None:
        arrival = Arrival(message.topic, bytes(message.payload), message.mid, message.qos, self._connection)
        if not self.arrivals.put(arrival) and message.qos:
            self._overran = True

    def _on_disconnect(self, _client: Any, _data: Any, _flags: Any, reason: Any, _properties: Any) -> None:
        with self._lock:
            self._connected = False
        if reason.is_failure:
            self._fail(f"the line is gone: {reason}")

    def _on_connect_fail(self, _client: Any, _data: Any) -> None:
        self._fail("cannot be reached")

    def _fail(self, fault: str) -> None:
        """Log a failure once until it is over."""
        if not self._failing:
            log.warning("gather: %s: %s; it is tried again", self._where, fault)
        self._failing = True

    @property
    def _where(self) -> str:
        return f"the broker {self._plan.broker.host}:{self._plan.broker.port}"
