"""The tables of what leaves the house: `[post]`, `[webhook]`, `[alive]` and `[mqtt]`."""

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import time
from typing import Any
from urllib.parse import SplitResult, urlsplit

from daemon.config.checks import (
    Key,
    Refused,
    fault,
    host,
    is_loopback,
    listed,
    mail_address,
    one_of,
    read_table,
    text,
    whole,
    yes_no,
)
from daemon.config.hours_syntax import letter_time, quiet
from daemon.errors import InputError
from daemon.input.file import shown
from daemon.letter_kinds import LETTER_KINDS, UNPLANNED
from daemon.seconds import DAY_S
from daemon.station import RECORD_BOXES, Alive, Broker, DailyHours, Post, PostServer, WebAddress, Webhook

# The port each way of security is spoken on (RFC 8314 section 3.3, RFC 6409 section 3.1, RFC 5321).
SMTP_PORT = {"tls": 465, "starttls": 587, "plain-on-loopback": 25}
_STRANGE_PORTS: dict[str, tuple[int, ...]] = {"tls": (25, 587), "starttls": (465,), "plain-on-loopback": ()}
# The ports of MQTT (IANA: secure-mqtt, mqtt).
MQTT_PORT = {"tls": 8883, "plain-on-loopback": 1883}
_WEB_PORT = {"https": 443, "http": 80}
_ADDRESS_ALLOWED = (
    "an address such as https://hooks.school.example/letters, in printable ASCII without name, password or #;"
    " http only to localhost, 127.0.0.1 or ::1"
)
_LENGTH = re.compile(r"([1-9][0-9]{0,5})(s|min|h)")
_UNITS_S = {"s": 1, "min": 60, "h": 3600}
_EVERY_ALLOWED = 'a length of time from 1 min to 24 h, such as "15min"'


def web_address(value: object) -> WebAddress:
    """An https address; http on this very machine. What was found is shown without path or password."""
    if not isinstance(value, str) or not value.isascii() or not value.isprintable() or len(value) > 2000:
        raise Refused(shown(value) if not isinstance(value, str) else "another text", _ADDRESS_ALLOWED)
    if " " in value or "#" in value or "@" in value:
        raise Refused("an address with a space, a # or an @", _ADDRESS_ALLOWED)
    try:
        parts = urlsplit(value)
        port = parts.port
        name = host(parts.hostname)
    except (ValueError, Refused):
        raise Refused("another text", _ADDRESS_ALLOWED) from None
    if not _may_go(parts, name) or port == 0:
        raise Refused(f"{parts.scheme or 'no scheme'} to {name}", _ADDRESS_ALLOWED)
    path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    return WebAddress(parts.scheme == "https", name, port or _WEB_PORT[parts.scheme], path)


def _may_go(parts: SplitResult, name: str) -> bool:
    return parts.scheme == "https" or (parts.scheme == "http" and is_loopback(name))


def length_s(value: object) -> int:
    """A length of time such as "15min", in seconds."""
    found = _LENGTH.fullmatch(value) if isinstance(value, str) else None
    seconds = int(found[1]) * _UNITS_S[found[2]] if found else 0
    if not 60 <= seconds <= DAY_S:
        raise Refused(shown(value), _EVERY_ALLOWED)
    return seconds


# What may be told at any hour: what somebody who hears of it at night may go and mend, or have mended.
URGENT_KINDS = tuple(kind for kind in UNPLANNED if LETTER_KINDS[kind].may_wake)
_ADDRESSES = "mail addresses, such as teacher@school.example"
_LINE_KEYS: dict[str, Key] = {
    "smtp_host": Key(host),
    "smtp_port": Key(whole(1, 65_535), None),
    "security": Key(one_of("tls", "starttls", "plain-on-loopback"), "tls"),
    "user": Key(text(254), None),
}
_SERVER_KEYS: dict[str, Key] = {
    **_LINE_KEYS,
    "from": Key(mail_address),
    "to": Key(listed(mail_address, f"a list of 1 to 20 {_ADDRESSES}", at_least=1, at_most=20)),
    "backup_to": Key(listed(mail_address, f"a list of up to 20 {_ADDRESSES}", at_most=20), ()),
}
_WHEN_KEYS: dict[str, Key] = {
    "nightly": Key(yes_no, True),
    "nightly_at": Key(letter_time, time(20, 0)),
    "morning_at": Key(letter_time, time(7, 15)),
    "quiet": Key(quiet, DailyHours(time(20, 0), time(7, 0))),
    "urgent": Key(listed(one_of(*URGENT_KINDS), f"a list of {', '.join(URGENT_KINDS)}"), ()),
    "urgent_after_min": Key(whole(0, 1440, "min"), 0),
}
POST_KEYS = {**_SERVER_KEYS, **_WHEN_KEYS}
WEBHOOK_KEYS: dict[str, Key] = {"url": Key(web_address, None)}
ALIVE_KEYS: dict[str, Key] = {"url": Key(web_address, None), "every": Key(length_s, 900)}
BROKER_KEYS: dict[str, Key] = {
    "host": Key(host),
    "port": Key(whole(1, 65_535), None),
    "security": Key(one_of("tls", "plain-on-loopback"), "tls"),
    "user": Key(text(254), None),
}
MQTT_KEYS: dict[str, Key] = {
    **BROKER_KEYS,
    "record": Key(yes_no, False),
    "record_boxes": Key(whole(100, 1_000_000, "boxes"), RECORD_BOXES),
}


def read_post(raw: object, faults: list[str]) -> Post | None:
    """The checked table `[post]`, None where it is faulty. Without a word of a server it says only when
    letters are written: they are files, or go by the webhook.
    """
    before = len(faults)
    if isinstance(raw, dict) and raw and raw.keys() <= _WHEN_KEYS.keys():
        values = read_table(raw, _WHEN_KEYS, "post", faults)
        return None if len(faults) > before else _post(values, None)
    values = read_table(raw, POST_KEYS, "post", faults)
    _check_server(values, faults)
    return None if len(faults) > before else _post(values, _server(values))


def read_mail_line(raw: object, faults: list[str]) -> tuple[str, int, str, str] | None:
    """Host, port, security and user of a mail server, told by the keys of `[post]`; None where faulty."""
    before = len(faults)
    values = read_table(raw, {**_LINE_KEYS, "user": Key(text(254))}, "post", faults)
    _check_server(values, faults)
    if len(faults) > before:
        return None
    return values["smtp_host"], _port(values), values["security"], values["user"]


def letters_as_files() -> Post:
    """What holds without a table `[post]`: no server, and the usual times."""
    return _post({name: key.default for name, key in _WHEN_KEYS.items()}, None)


def _post(values: Mapping[str, Any], server: PostServer | None) -> Post:
    return Post(server, **{name: values[name] for name in _WHEN_KEYS})


def _server(values: Mapping[str, Any]) -> PostServer:
    names = ("security", "user", "from", "to", "backup_to")
    return PostServer(values["smtp_host"], _port(values), *(values[name] for name in names))


def _port(values: Mapping[str, Any]) -> int:
    port: int = values["smtp_port"] or SMTP_PORT[values["security"]]
    return port


def _check_server(values: Mapping[str, Any], faults: list[str]) -> None:
    """Security against host and port."""
    security, port, name = (values.get(key) for key in ("security", "smtp_port", "smtp_host"))
    if security is None:
        return
    if security == "plain-on-loopback" and name is not None and not is_loopback(name):
        allowed = "localhost, 127.0.0.1 or ::1 with plain-on-loopback; tls or starttls for other machines"
        faults.append(fault("post.smtp_host", shown(name), allowed))
    if port in _STRANGE_PORTS[security]:
        allowed = f"{SMTP_PORT[security]} as a rule (tls 465, starttls 587), or the port your server names"
        faults.append(fault("post.smtp_port", f"{port} with security {shown(security)}", allowed))


def read_webhook(raw: object, faults: list[str]) -> Webhook | None:
    """The checked table `[webhook]`, None where it is faulty."""
    values = _read(raw, WEBHOOK_KEYS, "webhook", faults)
    return None if values is None else Webhook(values["url"])


def read_alive(raw: object, faults: list[str]) -> Alive | None:
    """The checked table `[alive]`, None where it is faulty."""
    values = _read(raw, ALIVE_KEYS, "alive", faults)
    return None if values is None else Alive(values["url"], values["every"])


def read_mqtt(raw: object, faults: list[str]) -> Broker | None:
    """The checked table `[mqtt]`, None where it is faulty."""
    values = _read(raw, MQTT_KEYS, "mqtt", faults)
    broker = None if values is None else _broker(values, "mqtt", faults)
    if values is None or broker is None or not values["record"]:
        return broker
    from daemon.record.topics import check_key  # few stations are recorded

    try:
        check_key("mqtt.user", broker.user or "")
    except InputError as error:
        faults.append(f"{error}, with record = true")
        return None
    return replace(broker, record=True, record_boxes=values["record_boxes"])


def read_broker(raw: object, table: str, faults: list[str]) -> Broker | None:
    """The checked table of an MQTT broker and no more, whatever its name; None where it is faulty."""
    values = _read(raw, BROKER_KEYS, table, faults)
    return None if values is None else _broker(values, table, faults)


def _broker(values: Mapping[str, Any], table: str, faults: list[str]) -> Broker | None:
    name, security = values["host"], values["security"]
    if security == "plain-on-loopback" and not is_loopback(name):
        allowed = "localhost, 127.0.0.1 or ::1 with plain-on-loopback; tls for other machines"
        faults.append(fault(f"{table}.host", shown(name), allowed))
        return None
    return Broker(name, values["port"] or MQTT_PORT[security], security, values["user"])


def _read(raw: object, keys: dict[str, Key], table: str, faults: list[str]) -> dict[str, Any] | None:
    before = len(faults)
    values = read_table(raw, keys, table, faults)
    return None if len(faults) > before else values
