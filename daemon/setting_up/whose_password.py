"""Where the passwords of a station come from, and what a text sent by the page may not do with them."""

from collections.abc import Mapping
from typing import Any

from daemon.errors import InputError
from daemon.post.secrets import MQTT_PASSWORD, SMTP_PASSWORD, Secret, read_secret
from daemon.station import Broker, PostServer, Station


def is_roots(secret: Secret, environ: Mapping[str, str]) -> bool:
    """Whether whoever administers the machine keeps this secret; one that cannot be read counts as kept."""
    try:
        return read_secret(secret, environ) is not None
    except InputError:
        return True


def stolen_secrets(station: Station, followed: Station | None, environ: Mapping[str, str]) -> list[str]:
    """A line for each password of root's that `station` would take to another server than `followed` does."""
    before = followed.post.server if followed else None
    server, broker = station.post.server, station.mqtt
    lines = []
    if server and _talk(server) != _talk(before) and is_roots(SMTP_PASSWORD, environ):
        lines.append(_line("[post] smtp_host, smtp_port, security and user", _talk(server), SMTP_PASSWORD))
    known = _ear(followed.mqtt) if followed and followed.mqtt else None
    if broker and _ear(broker) != known and is_roots(MQTT_PASSWORD, environ):
        lines.append(_line("[mqtt] host, port, security and user", _ear(broker), MQTT_PASSWORD))
    return lines


def _talk(server: PostServer | None) -> tuple[Any, ...] | None:
    return (server.smtp_host, server.smtp_port, server.security, server.user) if server else None


def _ear(broker: Broker) -> tuple[Any, ...]:
    return (broker.host, broker.port, broker.security, broker.user)


def _line(keys: str, found: tuple[Any, ...] | None, secret: Secret) -> str:
    other = ", ".join(str(part) for part in found or () if part is not None)
    return (
        f"{keys}: found {other}, to which the password that the administrator keeps ({secret.credential}) has"
        " not gone before; allowed: the server as it is, or to write another one into the file by hand"
    )
