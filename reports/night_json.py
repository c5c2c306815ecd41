"""A night's record as JSON and back, for the road from the daemon to the child that draws.

Moments are written as RFC 9557 says: "2027-01-15T22:10:00+00:00[Europe/Lisbon]".
"""

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from types import NoneType, UnionType
from typing import Any, get_args, get_origin, get_type_hints
from zoneinfo import ZoneInfo

from reports.records import NightRecord


class NightJsonError(ValueError):
    """A text that holds no record; the message says where, what was found and what is allowed."""


def to_json(record: NightRecord) -> str:
    """The record as one line of JSON; NaN and infinity as Python writes them."""
    return json.dumps(record, default=_plain, separators=(",", ":"))


def from_json(text: str) -> NightRecord:
    """The record in the text. Raises NightJsonError where it is not one."""
    try:
        packed = json.loads(text)
    except ValueError as error:
        raise NightJsonError(f"record: found no JSON ({error}); allowed is what to_json writes") from error
    record: NightRecord = _unpacked(packed, NightRecord, "record")
    return record


def _plain(value: Any) -> Any:
    """One value as far as JSON cannot hold it; what is in it comes in turn, never all at once."""
    if is_dataclass(value):
        return {field.name: getattr(value, field.name) for field in fields(value)}
    if isinstance(value, datetime):
        return _moment_text(value)
    if isinstance(value, date):
        return value.isoformat()
    raise TypeError(f"record: found a {type(value).__name__}; allowed is what reports.records holds")


def _moment_text(at: datetime) -> str:
    zone = at.tzinfo
    return f"{at.isoformat()}[{zone.key}]" if isinstance(zone, ZoneInfo) else at.isoformat()


def _moment(text: str) -> datetime:
    stamp, _, zone = text.partition("[")
    at = datetime.fromisoformat(stamp)
    if at.tzinfo is None:
        raise ValueError("a moment without its offset")
    return at.astimezone(ZoneInfo(zone.removesuffix("]"))) if zone else at


def _unpacked(packed: Any, kind: Any, where: str) -> Any:
    if isinstance(kind, UnionType):
        return None if packed is None else _unpacked(packed, _inner(kind), where)
    if get_origin(kind) is tuple:
        item = get_args(kind)[0]
        return tuple(
            _unpacked(one, item, f"{where}[{n}]") for n, one in enumerate(_expect(packed, list, where))
        )
    if is_dataclass(kind):
        return _unpacked_record(_expect(packed, dict, where), kind, where)
    return _unpacked_leaf(packed, kind, where)


def _inner(kind: UnionType) -> Any:
    return next(part for part in get_args(kind) if part is not NoneType)


def _unpacked_record(packed: Mapping[str, Any], kind: Any, where: str) -> Any:
    hints = get_type_hints(kind)
    if set(packed) != set(hints):
        wrong = ", ".join(sorted(set(packed) ^ set(hints)))
        raise NightJsonError(f"{where}: found other keys than {kind.__name__} has: {wrong}")
    return kind(**{name: _unpacked(packed[name], hint, f"{where}.{name}") for name, hint in hints.items()})


def _unpacked_leaf(packed: Any, kind: Any, where: str) -> Any:
    try:
        if kind is datetime:
            return _moment(_expect(packed, str, where))
        if kind is date:
            return date.fromisoformat(_expect(packed, str, where))
    except (ValueError, KeyError) as error:
        raise NightJsonError(
            f"{where}: found {packed!r}; allowed is a date or moment as RFC 9557 says"
        ) from error
    if kind is float:
        return float(_expect(packed, (int, float), where))
    return _expect(packed, kind, where)


def _expect(packed: Any, kind: Any, where: str) -> Any:
    if not isinstance(packed, kind) or (isinstance(packed, bool) and kind is not bool):
        raise NightJsonError(f"{where}: found {packed!r:.60}; allowed is {_name(kind)}")
    return packed


def _name(kind: Any) -> str:
    return " or ".join(one.__name__ for one in kind) if isinstance(kind, tuple) else str(kind.__name__)
