"""The table `[page]`: from where the local page may be asked for, and by whom it may be read."""

import ipaddress
from typing import Any
from urllib.parse import urlsplit

from daemon.config.checks import Key, Refused, fault, host, one_of, read_table, whole
from daemon.input.file import did_you_mean, shown
from daemon.station import LAN, LOOPBACK, PagePlan

_LISTEN_ALLOWED = (
    "loopback (this machine only), lan (private addresses of the network too),"
    " or one IP address of this machine"
)
_ADDRESS_ALLOWED = (
    "http:// or https:// with a name or IP address, and a port where it needs one,"
    " such as http://naupliad.local:8077"
)
_USUAL_PORT = {"http": 80, "https": 443}
_PIN_ALLOWED = "no PIN in this file; `naupliad page pin` keeps it apart"


def _listen(value: object) -> str:
    if not isinstance(value, str):
        raise Refused(shown(value), _LISTEN_ALLOWED)
    if value in (LOOPBACK, LAN):
        return value
    try:
        address = ipaddress.ip_address(value)
    except ValueError:
        hint = did_you_mean(value.lower(), (LOOPBACK, LAN))
        raise Refused(shown(value) + hint, _LISTEN_ALLOWED) from None
    # 0.0.0.0 would answer the whole world; a scope (%eth0) is no part of an address that others type.
    if address.is_unspecified or address.is_multicast or "%" in value:
        raise Refused(shown(value), _LISTEN_ALLOWED)
    return LOOPBACK if value == "127.0.0.1" else str(address)


def _address(value: object) -> str:
    """The page's address without a path, as a browser writes it into `Origin`."""
    if not isinstance(value, str) or not value.isascii() or not value.isprintable() or len(value) > 300:
        raise Refused(shown(value), _ADDRESS_ALLOWED)
    try:
        parts = urlsplit(value)
        port = parts.port
        name = host(parts.hostname)  # urlsplit has made it small
    except (ValueError, Refused):
        raise Refused("another text", _ADDRESS_ALLOWED) from None
    if parts.scheme not in _USUAL_PORT or "@" in parts.netloc or port == 0:
        raise Refused("another text", _ADDRESS_ALLOWED)
    if parts.path not in ("", "/") or "?" in value or "#" in value:
        raise Refused("an address with a path", _ADDRESS_ALLOWED)
    name = f"[{name}]" if ":" in name else name
    return f"{parts.scheme}://{name}" + ("" if port in (None, _USUAL_PORT[parts.scheme]) else f":{port}")


PAGE_KEYS: dict[str, Key] = {
    "listen": Key(_listen, LOOPBACK),
    "port": Key(whole(1, 65_535), 8077),
    "address": Key(_address, None),
    "reading": Key(one_of("all", "pin"), "all"),
}


def read_page(raw: object, faults: list[str]) -> PagePlan | None:
    """The checked table `[page]`, None where it is faulty. A PIN that stands in it is never shown."""
    before = len(faults)
    given: Any = raw
    if isinstance(raw, dict) and "pin" in raw:
        faults.append(fault("page.pin", "a PIN", _PIN_ALLOWED))
        given = {name: value for name, value in raw.items() if name != "pin"}
    values = read_table(given, PAGE_KEYS, "page", faults)
    return None if len(faults) > before else PagePlan(**values)
