"""A box, as it goes over the wire: compact JSON, deflated. A receipt: the numbers of boxes that are kept.

What comes in was written by anybody: nothing here trusts it.
"""

import json
import math
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeGuard

from daemon.errors import InputError

VERSION = 1
KINDS = ("hour", "alarm", "deed", "estimate", "letter")
# The most that a box is inflated to: an hour of 24 probes read each second has some 600 kB.
MOST_BYTES = 4_000_000
_MOST_RECEIPT_BYTES = 64_000
_DEEPEST = 8
_LARGEST = 2**63 - 1
_COMMON = ("v", "n", "kind")


@dataclass(frozen=True)
class Box:
    """One numbered thing that a station tells: `body` is what its kind says, as JSON has it.

    `n` is 1 up to 2**63 - 1, rises within a station and is never used again; `kind` is one of `KINDS`.
    """

    n: int
    kind: str
    body: Mapping[str, Any]


def packed(box: Box) -> bytes:
    """The bytes of a box. Raises ValueError where it holds a number that is not finite."""
    return zlib.compress(as_json(box).encode(), 9)


def as_json(box: Box) -> str:
    """What the bytes of a box hold. Raises ValueError as `packed` does."""
    return _text({"v": VERSION, "n": box.n, "kind": box.kind, **box.body})


def unpacked(payload: bytes, most_bytes: int = MOST_BYTES) -> Box:
    """The box that these bytes hold; inflated to `most_bytes` at most. Raises InputError, one line.

    What it lets pass can be written again by `packed` and stored by any database: no NUL, no half of a
    surrogate pair, no number beyond 64 bits. Whether the fields fit the kind is not looked at.
    """
    said = _object("box", _inflated(payload, most_bytes))
    if said.get("v") != VERSION or isinstance(said["v"], bool):
        raise InputError(f"box: v: found {_shown(said.get('v'))}; allowed: {VERSION}")
    n = said.get("n")
    if not _is_number(n):
        raise InputError(f"box: n: found {_shown(n)}; allowed: 1 to {_LARGEST}")
    kind = said.get("kind")
    if kind not in KINDS:
        raise InputError(f"box: kind: found {_shown(kind)}; allowed: {', '.join(KINDS)}")
    return Box(n, kind, {name: value for name, value in said.items() if name not in _COMMON})


def receipt(numbers: Iterable[int]) -> bytes:
    """The bytes of a receipt for the boxes with these numbers."""
    return _text({"n": list(numbers)}).encode()


def receipted(payload: bytes) -> tuple[int, ...]:
    """The numbers of the boxes that are kept. Raises InputError, one line."""
    if len(payload) > _MOST_RECEIPT_BYTES:
        raise InputError(f"receipt: found {len(payload)} bytes; allowed: {_MOST_RECEIPT_BYTES}")
    numbers = _object("receipt", payload).get("n")
    if not isinstance(numbers, list) or not all(_is_number(n) for n in numbers):
        raise InputError(f"receipt: n: found {_shown(numbers)}; allowed: a list of numbers of boxes")
    return tuple(numbers)


def _text(said: Mapping[str, Any]) -> str:
    return json.dumps(said, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def _inflated(payload: bytes, most_bytes: int) -> bytes:
    inflating = zlib.decompressobj()
    try:
        said = inflating.decompress(payload, most_bytes + 1)
    except zlib.error:
        raise InputError("box: found bytes that cannot be inflated; allowed: JSON, deflated") from None
    if len(said) > most_bytes:
        raise InputError(f"box: found over {most_bytes} bytes when inflated; allowed: {most_bytes}")
    if not inflating.eof or inflating.unused_data:
        raise InputError("box: found bytes that end too early or too late; allowed: one box, whole")
    return said


def _object(what: str, text: bytes) -> dict[str, Any]:
    try:
        said = json.loads(text.decode(), parse_constant=_no_constant)
    except (ValueError, RecursionError):
        raise InputError(f"{what}: found no JSON; allowed: JSON in UTF-8") from None
    if not isinstance(said, dict):
        raise InputError(f"{what}: found {_shown(said)}; allowed: an object")
    _check(what, said, 1)
    return said


def _no_constant(name: str) -> None:
    raise ValueError(name)


def _check(what: str, value: Any, depth: int) -> None:
    """Raise InputError where JSON holds what not every reader of it can keep."""
    if depth > _DEEPEST:
        raise InputError(f"{what}: found over {_DEEPEST} levels; allowed: {_DEEPEST}")
    match value:
        case dict():
            for name, inner in value.items():
                _check(what, name, depth)
                _check(what, inner, depth + 1)
        case list():
            for inner in value:
                _check(what, inner, depth + 1)
        case str() if "\0" in value or any("\ud800" <= letter <= "\udfff" for letter in value):
            raise InputError(f"{what}: found {_shown(value)}; allowed: whole characters, none of them NUL")
        case float() if not math.isfinite(value):
            raise InputError(f"{what}: found a number that is too large; allowed: up to 1e308")
        case int() if abs(value) > _LARGEST:
            raise InputError(f"{what}: found a number that is too large; allowed: whole ones to {_LARGEST}")


def _is_number(n: Any) -> TypeGuard[int]:
    return isinstance(n, int) and not isinstance(n, bool) and 1 <= n <= _LARGEST


def _shown(value: Any) -> str:
    """What was found, as one short line of ASCII."""
    text = ascii(value)
    return text if len(text) <= 60 else f"{text[:57]}..."
