"""The topics of a station's record. A station's key is all that they say of it."""

import re

from daemon.errors import InputError

ALL_BOXES = "naupliad/+/box"
_KEY = re.compile(r"[a-z0-9-]{1,40}")
_BOX = re.compile(rf"naupliad/({_KEY.pattern})/box")


def check_key(where: str, key: str) -> None:
    """Raise InputError unless `key` may stand for a station."""
    if not _KEY.fullmatch(key):
        raise InputError(f"{where}: found {key!a}; allowed: 1 to 40 of a-z, 0-9 and -")


def base(key: str) -> str:
    """What leads every topic of a station."""
    return f"naupliad/{key}"


def box(key: str) -> str:
    """Where a station's boxes go."""
    return f"{base(key)}/box"


def receipt(key: str) -> str:
    """Where the receipts for a station's boxes go."""
    return f"{base(key)}/receipt"


def key_of_box(topic: str) -> str | None:
    """The key of the station whose boxes go to `topic`; None where no station's do."""
    found = _BOX.fullmatch(topic)
    return found[1] if found else None
