"""What must stay secret: from systemd or from a file of its own, never from the station's file."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from daemon.errors import InputError

_MOST_BYTES = 4096


@dataclass(frozen=True, slots=True)
class Kept:
    """Where a secret is kept: the name of a systemd credential, and a variable that names a file."""

    credential: str
    variable: str
    what: str


SMTP_PASSWORD = Kept("smtp-password", "NAUPLIAD_SMTP_PASSWORD_FILE", "the password")
WEBHOOK_SECRET = Kept("webhook-secret", "NAUPLIAD_WEBHOOK_SECRET_FILE", "the secret")
MQTT_PASSWORD = Kept("mqtt-password", "NAUPLIAD_MQTT_PASSWORD_FILE", "the password")


def read_secret(kept: Kept, environ: Mapping[str, str]) -> str | None:
    """The secret, or None where none is kept.

    Looked for in systemd's credential, then in the file that the variable names. The unit passes an empty
    credential where none is kept (see `systemd/naupliad.service`). Raises InputError when a file cannot be
    read or does not hold one line.
    """
    directory = environ.get("CREDENTIALS_DIRECTORY")
    if directory is not None:
        credential = Path(directory, kept.credential)
        secret = _line(credential, "systemd credential") if credential.exists() else ""
        if secret:
            return secret
    named = environ.get(kept.variable)
    if not named:
        return None
    secret = _line(Path(named), kept.variable)
    if not secret:
        raise InputError(f"{kept.variable}: {named} is empty; allowed is one line that holds {kept.what}")
    return secret


def _line(file: Path, named_by: str) -> str:
    """The file's one line. No fault quotes what the file holds."""
    try:
        with file.open("rb") as opened:
            raw = opened.read(_MOST_BYTES + 1)
        line = raw.decode("ascii").rstrip("\r\n")
    except OSError as error:
        raise InputError(f"{named_by}: {file} cannot be read: {error.strerror}") from None
    except UnicodeDecodeError:
        raise InputError(
            f"{named_by}: {file} holds characters outside ASCII, which not every server takes; "
            "allowed are letters, digits and signs of a plain English keyboard"
        ) from None
    if len(raw) > _MOST_BYTES:
        raise InputError(f"{named_by}: {file} holds over {_MOST_BYTES} bytes; allowed is one line")
    if not line.isprintable():
        raise InputError(f"{named_by}: {file} holds several lines or control characters; allowed is one line")
    return line
