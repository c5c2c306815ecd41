"""The ways out of the house: where letters go, what else is sent, whether secrets are kept and lines open."""

import os
from collections.abc import Generator, Iterator
from pathlib import Path

from daemon.commissioning.checkup.finding import Finding, look, ok, wrong
from daemon.commissioning.machine import Machine
from daemon.errors import InputError
from daemon.post import http_request
from daemon.post.kept_address import address_of, may_carry_a_token
from daemon.post.secrets import (
    ALIVE_URL,
    MQTT_PASSWORD,
    SMTP_PASSWORD,
    WEBHOOK_SECRET,
    WEBHOOK_URL,
    Secret,
    read_secret,
)
from daemon.station import Broker, PostServer, Station, WebAddress

_GROUP_AND_OTHERS = 0o077
_TAKE_LETTERS = ("post server", "webhook server")
_TYPE = "Type it in the page's set-up, below Letters (or forget it there)."
_EXTRA = "sudo /opt/naupliad/bin/pip install 'naupliad[mqtt]', or take the table [mqtt] out."


def ways_out(station: Station, state: Path, machine: Machine, *, reach: bool) -> Iterator[Finding]:
    """Every way out of the station, and, where `reach`, whether the other side answers."""
    if station.post.server is not None:
        yield from _mail(station.post.server, state, machine, reach=reach)
    elif station.webhook is None:
        yield ok("post", f"no [post] in the station file: letters are files in {state / 'letters'}")
    if station.webhook is not None:
        there, address = yield from _address("webhook address", station.webhook.url, WEBHOOK_URL, machine)
        if there:
            yield ok("webhook", f"letters are posted to {_shown(address)}")
        yield _secret("webhook secret", WEBHOOK_SECRET, machine, wanted_for="letters that have to be signed")
        if reach and address is not None:
            yield _answers("webhook server", "the webhook's address", address.host, address.port, machine)
    if station.mqtt is not None:
        yield from _broker(station.mqtt, machine, reach=reach)
    if station.alive is not None:
        there, address = yield from _address("alive address", station.alive.url, ALIVE_URL, machine)
        every = f"is asked for every {station.alive.every_s // 60} min"
        if there:
            yield ok("sign of life", f"{_shown(address)} {every}")
        if reach and address is not None:
            yield _answers("alive server", "the address of [alive]", address.host, address.port, machine)


def _mail(server: PostServer, state: Path, machine: Machine, *, reach: bool) -> Iterator[Finding]:
    where = f"{server.smtp_host}:{server.smtp_port}"
    yield ok("post", f"letters go by {where} ({server.security}) to {', '.join(server.to)}")
    yield _mail_password(server, state, machine)
    if reach:
        yield _answers("post server", "smtp_host and smtp_port", server.smtp_host, server.smtp_port, machine)


def _mail_password(server: PostServer, state: Path, machine: Machine) -> Finding:
    """Where the mail password comes from: the administrator's file goes before the one of the set-up."""
    from daemon.post.kept_password import FILE_NAME, account_of, read_kept  # for who has a mail server

    path = state / FILE_NAME
    wanted = None if server.user is None else f"user {server.user}"
    roots = _secret("password", SMTP_PASSWORD, machine, wanted_for=wanted)
    try:
        kept = () if _is_told(SMTP_PASSWORD, machine) else read_kept(state)
    except InputError as error:
        if isinstance(error.__cause__, PermissionError):
            return look("password", f"{path}: you may not look there", "sudo naupliad checkup")
        return wrong("password", str(error), _TYPE)
    if not kept:
        return roots
    if account_of(server) not in [one.account for one in kept]:
        whose = kept[0].account
        other = f"the one in {path} is for {whose.user} at {whose.host}, not for this server"
        return look("password", other, _TYPE) if wanted is None else wrong("password", other, _TYPE)
    if path.stat().st_mode & _GROUP_AND_OTHERS:
        return wrong("password", f"{path}: others than its owner may read it", f"sudo chmod 600 {path}")
    return ok("password", f"kept by the set-up in {path}, for this server alone; only its owner may read it")


def _is_told(secret: Secret, machine: Machine) -> bool:
    """Whether the administrator keeps it, be it unreadable; no, where one may not even look."""
    try:
        return machine.path(_home(secret)).exists() or read_secret(secret, machine.environ) is not None
    except InputError:
        return True
    except PermissionError:
        return False


def _broker(broker: Broker, machine: Machine, *, reach: bool) -> Iterator[Finding]:
    if machine.library("paho") is None:
        yield wrong("mqtt", "paho-mqtt is not installed, so the daemon does not start", _EXTRA)
    else:
        yield ok("mqtt", f"how things stand is sent to {broker.host}:{broker.port} ({broker.security})")
    wanted = None if broker.user is None else f"user {broker.user}"
    yield _secret("mqtt password", MQTT_PASSWORD, machine, wanted_for=wanted)
    if reach:
        yield _answers("mqtt broker", "mqtt.host and mqtt.port", broker.host, broker.port, machine)


def _answers(subject: str, keys: str, host: str, port: int, machine: Machine) -> Finding:
    fault = machine.unreached(host, port)
    if fault is None:
        more = "; naupliad post sample sends a letter" if subject in _TAKE_LETTERS else ""
        return ok(subject, f"{host}:{port} answers{more}")
    remedy = f"Ask whether the school's network lets the Pi reach it; check {keys}."
    return wrong(subject, f"{host}:{port} cannot be reached: {fault}", remedy)


def _shown(address: WebAddress | None) -> str:
    return "an address that is kept apart" if address is None else http_request.shown(address)


def _address(
    subject: str, told: WebAddress | None, kept: Secret, machine: Machine
) -> Generator[Finding, None, tuple[bool, WebAddress | None]]:
    """What there is to say of where an address is kept; returns whether the daemon has one, and which.

    None where it cannot be known here.
    """
    file = machine.path(_home(kept))
    if not file.exists() and not machine.environ.get(kept.variable):
        if told is None:
            yield wrong(subject, "none is kept, and the station file names none", _keep(kept))
        elif may_carry_a_token(told):
            open_to_all = (
                "url in the station file looks as if it carried a token, and others may read that file"
            )
            yield look(subject, open_to_all, f"{_keep(kept)}; then take url out of the station file")
        return told is not None, told
    if told is not None:
        yield look(subject, "the station file names one too, which is not used", "Take url out of it.")
    found = _secret(subject, kept, machine, wanted_for=None)
    yield found
    if not os.access(file, os.R_OK) and not machine.environ.get(kept.variable):
        return True, None
    try:
        address = address_of(None, kept, {kept.variable: str(file), **machine.environ})
    except InputError as error:
        if found.grade != "wrong":
            yield wrong(subject, str(error), _keep(kept))
        return False, None
    return address is not None, address


def _home(secret: Secret) -> Path:
    return Path("/etc/naupliad", secret.credential)


def _keep(secret: Secret) -> str:
    home = _home(secret)
    return f"sudo install -m 600 /dev/null {home}; sudo tee {home} > /dev/null (type it, Enter, Ctrl-D)"


def _secret(subject: str, secret: Secret, machine: Machine, *, wanted_for: str | None) -> Finding:
    """Whether a secret is kept, and for its owner only; `wanted_for` is None where none need be."""
    home, keep = _home(secret), _keep(secret)
    file = machine.path(home)
    try:
        kept = read_secret(secret, machine.environ) is not None
        there = file.exists()
    except InputError as error:
        return wrong(subject, str(error), keep)
    except PermissionError:
        return look(subject, f"{home}: you may not look there", "sudo naupliad checkup")
    named = machine.environ.get(secret.variable)
    for path in [file] if there else [Path(named)] if named and kept else []:
        if path.stat().st_mode & _GROUP_AND_OTHERS:
            read_by_all = f"{path}: others than its owner may read it"
            return wrong(subject, read_by_all, f"sudo chown root: {path}; sudo chmod 600 {path}")
        if path.stat().st_size == 0:
            return wrong(subject, f"{path} is empty", keep)
    if kept or there:
        return ok(subject, "kept apart from the station file, and only its owner may read it")
    if wanted_for is not None:
        return wrong(subject, f"none is kept for {wanted_for}", keep)
    return ok(subject, "none is kept, and no user is given: for a server without sign-in")
