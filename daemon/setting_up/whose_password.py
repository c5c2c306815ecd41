"""Where the passwords of a station come from, and what a text sent by the page may not do with them."""

from collections.abc import Mapping
from typing import Any

from daemon.errors import InputError
from daemon.post.secrets import MQTT_PASSWORD, SMTP_PASSWORD, Secret, read_secret
from daemon.station import Broker, PostServer, Station


def away(secret: Secret) -> str:
    """How the administrator takes one away."""
    return f"sudo rm /etc/naupliad/{secret.credential}; sudo systemctl restart naupliad"


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
        keys = "[post] smtp_host, smtp_port, security and user"
        lines.append(_line(keys, _talk(server), SMTP_PASSWORD, has_one=before is not None))
    known = _ear(followed.mqtt) if followed and followed.mqtt else None
    if broker and _ear(broker) != known and is_roots(MQTT_PASSWORD, environ):
        keys = "[mqtt] host, port, security and user"
        lines.append(_line(keys, _ear(broker), MQTT_PASSWORD, has_one=known is not None))
    return lines


def _talk(server: PostServer | None) -> tuple[Any, ...] | None:
    return (server.smtp_host, server.smtp_port, server.security, server.user) if server else None


def _ear(broker: Broker) -> tuple[Any, ...]:
    return (broker.host, broker.port, broker.security, broker.user)


def _line(keys: str, found: tuple[Any, ...] | None, secret: Secret, *, has_one: bool) -> str:
    other = ", ".join(str(part) for part in found or () if part is not None)
    allowed = "the server as it is, or to write another one into the file by hand"
    if not has_one:
        allowed = f"to write that table into the file by hand, or first, on the machine: {away(secret)}"
    return (
        f"{keys}: found {other}, to which the password that the administrator keeps ({secret.credential}) has"
        f" not gone before; allowed: {allowed}"
    )
