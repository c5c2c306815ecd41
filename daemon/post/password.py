"""The password of the post: from systemd or from a file, never from the station's file."""

from collections.abc import Mapping
from pathlib import Path

from daemon.errors import InputError

CREDENTIAL = "smtp-password"
VARIABLE = "NAUPLIAD_SMTP_PASSWORD_FILE"


def read_password(environ: Mapping[str, str]) -> str | None:
    """The SMTP password, or None where none is kept.

    Looked for in systemd's credential `smtp-password`, then in the file NAUPLIAD_SMTP_PASSWORD_FILE names.
    The unit passes an empty credential where no password is kept (see `systemd/naupliad.service`).
    Raises InputError when a file cannot be read or does not hold one line.
    """
    directory = environ.get("CREDENTIALS_DIRECTORY")
    if directory is not None:
        credential = Path(directory, CREDENTIAL)
        password = _line(credential, "systemd credential") if credential.exists() else ""
        if password:
            return password
    named = environ.get(VARIABLE)
    if not named:
        return None
    password = _line(Path(named), VARIABLE)
    if not password:
        raise InputError(f"{VARIABLE}: {named} is empty; allowed is one line that holds the password")
    return password


def _line(file: Path, named_by: str) -> str:
    """The file's one line. No fault quotes what the file holds."""
    try:
        line = file.read_bytes().decode("ascii").rstrip("\r\n")
    except OSError as error:
        raise InputError(f"{named_by}: {file} cannot be read: {error.strerror}") from None
    except UnicodeDecodeError:
        raise InputError(
            f"{named_by}: {file} holds characters outside ASCII, which cannot be sent at log-in; "
            "allowed are letters, digits and signs of a plain English keyboard"
        ) from None
    if not line.isprintable():
        raise InputError(f"{named_by}: {file} holds several lines or control characters; allowed is one line")
    return line
