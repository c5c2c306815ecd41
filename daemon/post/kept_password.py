"""The mail passwords that the set-up keeps, in a file of the daemon's: each for one account alone.

There are two where another server is being set up while the station still sends by the one it has.
"""

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from daemon.errors import InputError
from daemon.input.file import read_bytes
from daemon.post.secrets import fault_in
from daemon.station import PostServer

FILE_NAME = "smtp-password.json"  # in the state folder
_NAMES = ("host", "port", "security", "user", "password")
_AGAIN = "allowed: to type the password into the set-up once more, or to delete the file"


@dataclass(frozen=True, slots=True)
class MailAccount:
    """Whom a password is told to: a server, how the line to it is kept secret, and the name to log in by."""

    host: str
    port: int
    security: str
    user: str


@dataclass(frozen=True, slots=True)
class KeptPassword:
    """A password, and the only account that it is for. It is never shown."""

    account: MailAccount
    password: str

    def __repr__(self) -> str:
        """Without the password: what is shown may end in a log."""
        return f"KeptPassword({self.account})"


def account_of(server: PostServer) -> MailAccount:
    """The account that a station's letters are sent by; without a user it is the sender's address."""
    user = server.user or server.sender
    return MailAccount(server.smtp_host, server.smtp_port, server.security, user)


def written(kept: Sequence[KeptPassword]) -> bytes:
    """What stands in the file, the newest first."""
    words = [{**asdict(one.account), "password": one.password} for one in kept]
    return json.dumps(words, indent=1).encode() + b"\n"


def fault_in_typed(password: str) -> str:
    """Why a text is no password, in words that quote none of it; "" where it may be one."""
    if not password or password != password.rstrip("\r\n"):
        return "is empty, or ends with the end of a line; allowed is one line"
    return fault_in(password.encode("utf-8", "surrogatepass"))


def read_kept(state: Path) -> tuple[KeptPassword, ...]:
    """What is kept in a state folder, the newest first; empty where nothing is.

    Raises InputError in one line, which quotes nothing of it, for a file that cannot be read or is broken.
    """
    path = state / FILE_NAME
    try:
        raw = read_bytes(path)
    except InputError as refused:
        if isinstance(refused.__cause__, FileNotFoundError):
            return ()
        raise
    kept = _read(raw)
    if not kept:
        raise InputError(f"{path}: found a file that is broken; {_AGAIN}")
    return kept


def _read(raw: bytes) -> tuple[KeptPassword, ...]:
    """Empty for what was not written here."""
    try:
        entries = [[words[name] for name in _NAMES] for words in json.loads(raw)]
    except (ValueError, TypeError, KeyError, RecursionError):
        return ()
    if not all(map(_is_whole, entries)):
        return ()
    return tuple(KeptPassword(MailAccount(*parts[:-1]), parts[-1]) for parts in entries)


def _is_whole(parts: list[Any]) -> bool:
    return [type(part) for part in parts] == [str, int, str, str, str] and not fault_in_typed(parts[-1])


def kept_for(state: Path, server: PostServer) -> str | None:
    """The password that is kept for this very account; None where none is. Raises as `read_kept` does."""
    account = account_of(server)
    return next((kept.password for kept in read_kept(state) if kept.account == account), None)
