"""What must stay secret: from systemd or from a file of its own, never from the station's file."""

import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from daemon.errors import InputError

log = logging.getLogger(__name__)

Kept = TypeVar("Kept")

_MOST_BYTES = 4096


@dataclass(frozen=True, slots=True)
class Secret:
    """A secret by where it is kept: the name of a systemd credential, and a variable that names a file."""

    credential: str
    variable: str
    what: str


SMTP_PASSWORD = Secret("smtp-password", "NAUPLIAD_SMTP_PASSWORD_FILE", "the password")
WEBHOOK_SECRET = Secret("webhook-secret", "NAUPLIAD_WEBHOOK_SECRET_FILE", "the secret")
WEBHOOK_URL = Secret("webhook-url", "NAUPLIAD_WEBHOOK_URL_FILE", "the address")
ALIVE_URL = Secret("alive-url", "NAUPLIAD_ALIVE_URL_FILE", "the address")
MQTT_PASSWORD = Secret("mqtt-password", "NAUPLIAD_MQTT_PASSWORD_FILE", "the password")


def read_secret(secret: Secret, environ: Mapping[str, str]) -> str | None:
    """The secret, or None where none is kept.

    Looked for in systemd's credential, then in the file that the variable names. The unit passes an empty
    credential where none is kept (see `systemd/naupliad.service`). Raises InputError when a file cannot be
    read or does not hold one line.
    """
    directory = environ.get("CREDENTIALS_DIRECTORY")
    if directory is not None:
        credential = Path(directory, secret.credential)
        line = _line(credential, "systemd credential") if credential.exists() else ""
        if line:
            return line
    named = environ.get(secret.variable)
    if not named:
        return None
    line = _line(Path(named), secret.variable)
    if not line:
        raise InputError(f"{secret.variable}: {named} is empty; allowed is one line that holds {secret.what}")
    return line


def fault_in(raw: bytes) -> str:
    """What keeps a line, its end included, from being a secret, in words that quote none of it; or ""."""
    if not raw.isascii():
        return (
            "holds characters outside ASCII, which not every server takes; "
            "allowed are letters, digits and signs of a plain English keyboard"
        )
    if len(raw) > _MOST_BYTES:
        return f"holds over {_MOST_BYTES} bytes; allowed is one line"
    if not raw.decode("ascii").rstrip("\r\n").isprintable():
        return "holds several lines or control characters; allowed is one line"
    return ""


def or_without(read: Callable[[], Kept | None], *, go_on: bool) -> Kept | None:
    """What is read. Where its file is no good and nobody looks on (`go_on`): a line in the log, and None.

    What needs it waits then, and the cups are watched. Raises as what reads it, else.
    """
    try:
        return read()
    except InputError as fault:
        if not go_on:
            raise
        log.error("%s; it is gone without, and what needs it waits", fault)
        return None


def _line(file: Path, named_by: str) -> str:
    """The file's one line. No fault quotes what the file holds."""
    try:
        with file.open("rb") as opened:
            raw = opened.read(_MOST_BYTES + 1)
    except OSError as error:
        raise InputError(f"{named_by}: {file} cannot be read: {error.strerror}") from None
    fault = fault_in(raw)
    if fault:
        raise InputError(f"{named_by}: {file} {fault}")
    return raw.decode("ascii").rstrip("\r\n")
