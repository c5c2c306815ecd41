"""The PIN that lets somebody write: what it may be, how it is kept, whether digits are it."""

import hashlib
import hmac
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

from daemon.errors import InputError, NaupliadError
from daemon.page.guard.kept_file import keep, kept
from daemon.page.guard.scrypt import scrypt
from daemon.post.secrets import Secret, or_without, read_secret

LEAST, MOST = 6, 12
FILE_NAME = "pin.json"
CREDENTIAL = Secret("page-pin", "NAUPLIAD_PAGE_PIN_FILE", "the PIN")

_MOST_MEMORY, _MOST_P = 2**24, 64
_SALT_BYTES, _KEY_BYTES = 16, 32
_LONGEST_GROUP = 3  # 121212, 123123

ALLOWED = f"{LEAST} to {MOST} digits"
# Five and twenty tries at once, then two every three minutes: see tries.py, which a test holds this to.
TOO_SHORT = f"{ALLOWED}: at four, trying goes on for five days on average, at six for a year and a half"
TOO_PLAIN = f"{ALLOWED} that are not all alike, not in a row and not a group of {_LONGEST_GROUP} repeated"


def digits_of(typed: str) -> str | None:
    """The digits somebody typed, without spaces and hyphens; None where they cannot be a PIN."""
    digits = typed.replace(" ", "").replace("-", "")
    return digits if LEAST <= len(digits) <= MOST and digits.isascii() and digits.isdigit() else None


def new_pin(typed: str) -> str:
    """The digits of a PIN that may be set. Raises InputError, which never shows them."""
    digits = typed.replace(" ", "").replace("-", "")
    if not (digits.isascii() and digits.isdigit()):
        found = "nothing" if not digits else "other characters than digits"
        raise InputError(f"PIN: found {found}; allowed: {ALLOWED}")
    if not LEAST <= len(digits) <= MOST:
        allowed = TOO_SHORT if len(digits) < LEAST else ALLOWED
        raise InputError(f"PIN: found {len(digits)} digits; allowed: {allowed}")
    if _is_tried_first(digits):
        raise InputError(f"PIN: found digits that are tried first; allowed: {TOO_PLAIN}")
    return digits


def _is_tried_first(digits: str) -> bool:
    steps = {(int(after) - int(before)) % 10 for before, after in pairwise(digits)}
    groups = (digits[:length] * len(digits) for length in range(1, _LONGEST_GROUP + 1))
    return steps in ({1}, {9}) or any(group.startswith(digits) for group in groups)


@dataclass(frozen=True, slots=True)
class Cost:
    """What looking at a try costs: scrypt's N, r and p (RFC 7914). It takes 128 N r bytes for a moment."""

    n: int
    r: int
    p: int

    def is_bearable(self) -> bool:
        """Whether scrypt takes it, within the memory that is allowed."""
        n, r, p = self.n, self.r, self.p
        if not all(type(number) is int and number > 0 for number in (n, r, p)):
            return False
        return n > 1 and n & (n - 1) == 0 and p <= _MOST_P and 128 * r * (n + p + 2) <= _MOST_MEMORY

    def key(self, digits: str, salt: bytes) -> bytes:
        """What is kept in place of the digits. Raises NaupliadError as `scrypt` does."""
        return scrypt(digits, salt, n=self.n, r=self.r, p=self.p, maxmem=_MOST_MEMORY, dklen=_KEY_BYTES)


# 8 MB: of the strengths that are taken to be alike the one with the least memory (OWASP, Password Storage
# Cheat Sheet [M]). 0.2 s on the desk; a Pi was not measured. No hash makes six digits hard to find for who
# has the file: the file is what must be kept apart.
USUAL = Cost(2**13, 8, 10)


@dataclass(frozen=True, slots=True)
class PinRecord:
    """A PIN as it is kept: `id` is another one whenever a PIN is set, also the same one."""

    id: str
    salt: bytes
    key: bytes
    cost: Cost = USUAL

    def fits(self, digits: str) -> bool:
        """Whether these digits are the PIN, in constant time."""
        return hmac.compare_digest(self.key, self.cost.key(digits, self.salt))


def page_folder(state: Path) -> Path:
    """The page's own folder, beside that of the station's records: /var/lib/naupliad-page."""
    return Path(f"{state.resolve()}-page")


def set_pin(folder: Path, digits: str, cost: Cost = USUAL) -> None:
    """Keep a PIN: who was signed in is no longer, and whoever waited waits no longer.

    Raises NaupliadError where the folder does not take it.
    """
    salt = secrets.token_bytes(_SALT_BYTES)
    words = {
        "id": secrets.token_hex(8),
        "salt": salt.hex(),
        "key": cost.key(digits, salt).hex(),
        "cost": [cost.n, cost.r, cost.p],
    }
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
        keep(folder / FILE_NAME, words)
    except PermissionError as error:
        raise NaupliadError(f"{folder}: found a folder that is not yours; put sudo before it") from error
    except OSError as error:
        raise NaupliadError(f"{folder}: the PIN cannot be kept: {error.strerror or error}") from error


class PinSource:
    """The PIN that holds now: a systemd credential's where there is one, else the one that was set last."""

    def __init__(self, folder: Path, environ: Mapping[str, str]) -> None:
        """Look for the credential once; one that is no good is logged, and then there is no PIN of it."""
        self._path = folder / FILE_NAME
        self._given = or_without(lambda: _credential(environ), go_on=True)

    def now(self) -> PinRecord | None:
        """The PIN's record, None where none is set."""
        return self._given or _record(kept(self._path))


def _credential(environ: Mapping[str, str]) -> PinRecord | None:
    told = read_secret(CREDENTIAL, environ)
    if told is None:
        return None
    # The same salt every time: who is signed in stays so when the page starts again with the same PIN.
    salt = CREDENTIAL.credential.encode()
    key = USUAL.key(new_pin(told), salt)
    return PinRecord(hashlib.sha256(key).hexdigest()[:16], salt, key)


def _record(words: object) -> PinRecord | None:
    try:
        found: Any = words
        cost = Cost(*found["cost"])
        record = PinRecord(str(found["id"]), bytes.fromhex(found["salt"]), bytes.fromhex(found["key"]), cost)
        return record if cost.is_bearable() else None
    except (KeyError, TypeError, ValueError):
        return None
