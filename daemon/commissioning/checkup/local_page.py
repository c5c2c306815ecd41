"""The local page: whether who may note anything is settled, and whether its address leads to it."""

import ipaddress
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

from daemon.commissioning.checkup.finding import Finding, look, ok
from daemon.commissioning.machine import Machine
from daemon.page.guard.pin import FILE_NAME, page_folder
from daemon.page.listening import socket_settings
from daemon.station import LAN, LOOPBACK, PagePlan

_SUBJECT = "page"
_UNIT_DIR = "/etc/systemd/system"
_SOCKET = f"{_UNIT_DIR}/naupliad-page.socket"
_SETTINGS = f"{_SOCKET}.d/10-station.conf"
_CREDENTIAL = "/etc/naupliad/page-pin"
_AGAIN = "In the folder of the program: sudo systemd/install.sh"
_PORTS = {"http": 80, "https": 443}


def local_page(plan: PagePlan, state: Path, machine: Machine) -> Iterator[Finding]:
    """What there is to say of it; one line where all is well."""
    faults = [*_pin(plan, state, machine), *_address(plan), *_socket(plan, machine)]
    if not faults:
        faults = [ok(_SUBJECT, f"it answers {plan.listen}, port {plan.port}")]
    yield from faults


def _pin(plan: PagePlan, state: Path, machine: Machine) -> Iterator[Finding]:
    if not answers_others(plan):
        return
    try:
        is_set = any(path.exists() for path in (page_folder(state) / FILE_NAME, machine.path(_CREDENTIAL)))
    except PermissionError:
        yield look(_SUBJECT, "whether a PIN is set cannot be seen", "sudo naupliad checkup")
        return
    if not is_set:
        yield look(
            _SUBJECT,
            f"it answers other machines ({plan.listen}), and no PIN is set: nobody can note anything",
            "sudo naupliad page pin",
        )


def _address(plan: PagePlan) -> Iterator[Finding]:
    wrong = mismatch(plan)
    if wrong:
        yield look(_SUBJECT, f"address {plan.address}: {wrong}", "Correct [page] address, listen or port.")


def _socket(plan: PagePlan, machine: Machine) -> Iterator[Finding]:
    """Whether systemd was told what the station file says; nothing where the unit is not installed."""
    if machine.text(_SOCKET) is None:
        return
    wanted, found = socket_settings(plan), machine.text(_SETTINGS) or ""
    if wanted.strip() != found.strip():
        yield look(_SUBJECT, f"systemd listens elsewhere than [page] says: {_SETTINGS}", _AGAIN)


def answers_others(plan: PagePlan) -> bool:
    """Whether machines besides this one are answered."""
    return plan.listen not in (LOOPBACK, "::1")


def mismatch(plan: PagePlan) -> str:
    """Why nobody finds the page at the address that letters and codes bear; empty where somebody may."""
    if plan.address is None:
        return ""
    parts = urlsplit(plan.address)
    name, port = parts.hostname or "", parts.port or _PORTS[parts.scheme]
    if parts.scheme == "https":  # of a server before the page, which listens where it likes
        return ""
    if not answers_others(plan):
        return "" if _is_own(name) else "the page answers this machine only (listen)"
    if _is_own(name):
        return "another machine finds itself there"
    if port != plan.port:
        return f"the page listens at port {plan.port}"
    address = _ip(name)
    if address is not None and plan.listen != LAN and str(address) != plan.listen:
        return f"the page listens at {plan.listen}"
    return ""


def _is_own(name: str) -> bool:
    address = _ip(name)
    return name == "localhost" or (address is not None and address.is_loopback)


def _ip(name: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        return ipaddress.ip_address(name)
    except ValueError:
        return None
