"""What one key of the station file may hold: small checks, and a table read by its list of keys."""

import ipaddress
import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from typing import Any, Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from daemon.input.file import did_you_mean, shown

Check = Callable[[object], Any]
REQUIRED: Final = object()
ABSENT: Final = object()

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]{1,60}")
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,39}")
_ZONE = re.compile(r"(?!posix/|right/)[A-Za-z][A-Za-z0-9_+-]*(/[A-Za-z0-9_+-]+){0,2}")
_HOST_LABEL = re.compile(r"(?!-)[A-Za-z0-9-]{1,63}(?<!-)")
_LOCAL_PART = re.compile(r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+(\.[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+)*")
_SECRET = re.compile(r"pass(word|wd|phrase)?$|password|passwd|pwd|secret|token|credential", re.IGNORECASE)
WHERE_SECRETS_BELONG = (
    "no password in this file; put it into the systemd credential smtp-password (webhook-secret,"
    " mqtt-password), or into a file of its own that the environment variable NAUPLIAD_SMTP_PASSWORD_FILE"
    " (NAUPLIAD_WEBHOOK_SECRET_FILE, NAUPLIAD_MQTT_PASSWORD_FILE) names"
)


class Refused(Exception):
    """A value that is not allowed: what was found, what is allowed, and where below the key."""

    def __init__(self, found: str, allowed: str, below: str = "") -> None:
        super().__init__(found)
        self.parts: list[tuple[str, str, str]] = [(below, found, allowed)]


@dataclass(frozen=True, slots=True)
class Key:
    """A key a table may hold: its check, and its value when it is not given.

    `default` is REQUIRED where it must be given, ABSENT where the result has no such key then.
    """

    check: Check
    default: Any = REQUIRED


def fault(path: str, found: str, allowed: str) -> str:
    """One fault's line, without the file's name."""
    return f"{path}: found {found}; allowed: {allowed}"


def read_table(raw: object, keys: Mapping[str, Key], path: str, faults: list[str]) -> dict[str, Any]:
    """The table's checked values with defaults; keys that are wrong are missing and stand in `faults`."""
    if not isinstance(raw, dict):
        faults.append(fault(path, shown(raw), "a table"))
        return {}
    values: dict[str, Any] = {}
    for name, key in keys.items():
        if name in raw:
            _read_key(raw[name], key, name, f"{path}.{name}", values, faults)
        elif key.default is REQUIRED:
            faults.append(fault(f"{path}.{name}", "nothing", "this key must be given"))
        elif key.default is not ABSENT:
            values[name] = key.default
    faults.extend(unknown_key(name, keys, path) for name in raw if name not in keys)
    return values


def _read_key(
    value: object, key: Key, name: str, path: str, values: dict[str, Any], faults: list[str]
) -> None:
    try:
        values[name] = key.check(value)
    except Refused as refused:
        faults.extend(fault(path + below, found, allowed) for below, found, allowed in refused.parts)


def unknown_key(name: str, known: Collection[str], path: str = "") -> str:
    """The fault of a key that nobody knows, with the nearest known one; a secret's value is never shown."""
    where = name if _BARE_KEY.fullmatch(name) else shown(name)
    where = f"{path}.{where}" if path else where
    if _SECRET.search(name):
        return fault(where, "a key for a secret", WHERE_SECRETS_BELONG)
    hint = did_you_mean(name.lower(), known) if len(name) <= 60 else ""
    return fault(where, f"an unknown key{hint}", ", ".join(known))


def number(low: float, high: float, unit: str = "") -> Check:
    """A finite number in a range, both ends allowed; true and false are no numbers."""
    allowed = f"a number from {low:g} to {high:.10g}{unit and ' ' + unit}"

    def check(value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise Refused(shown(value), allowed)
        if not low <= value <= high:  # NaN lies in no range
            raise Refused(shown(value), allowed)
        return float(value)

    return check


def whole(low: int, high: int, unit: str = "") -> Check:
    """A whole number in a range, both ends allowed."""
    allowed = f"a whole number from {low} to {high}{unit and ' ' + unit}"

    def check(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise Refused(shown(value), allowed)
        return value

    return check


def yes_no(value: object) -> bool:
    """True or false, without quotes."""
    if not isinstance(value, bool):
        raise Refused(shown(value), "true or false")
    return value


def text(longest: int) -> Check:
    """One printable line of text, not blank (it stands in subjects of letters)."""
    allowed = f"one line of text, 1 to {longest} characters"

    def check(value: object) -> str:
        if not isinstance(value, str) or not value.strip() or len(value) > longest or not value.isprintable():
            raise Refused(shown(value), allowed)
        return value

    return check


def matching(pattern: re.Pattern[str], allowed: str) -> Check:
    """Text that a pattern matches from end to end."""

    def check(value: object) -> str:
        if not isinstance(value, str) or pattern.fullmatch(value) is None:
            raise Refused(shown(value), allowed)
        return value

    return check


def one_of(*choices: str) -> Check:
    """One of a few words, with the nearest one when it was nearly that."""
    allowed = " or ".join(choices) if len(choices) == 2 else ", ".join(choices)

    def check(value: object) -> str:
        if isinstance(value, str) and value in choices:
            return value
        hint = did_you_mean(value.lower(), choices) if isinstance(value, str) else ""
        raise Refused(shown(value) + hint, allowed)

    return check


def listed(item: Check, allowed: str, at_least: int = 0, at_most: int = 100) -> Check:
    """A list without repetitions, each item checked; items are counted from 1."""

    def check(value: object) -> tuple[Any, ...]:
        if not isinstance(value, list) or not at_least <= len(value) <= at_most:
            raise Refused(shown(value), allowed)
        return _checked_items(value, item)

    return check


def _checked_items(value: list[object], item: Check) -> tuple[Any, ...]:
    checked: list[Any] = []
    wrong: list[tuple[str, str, str]] = []
    for place, entry in enumerate(value, start=1):
        try:
            good = item(entry)
        except Refused as refused:
            wrong += [(f"[{place}]{below}", found, allowed) for below, found, allowed in refused.parts]
            continue
        if good in checked:
            wrong.append((f"[{place}]", f"{shown(entry)} again", "every entry once"))
        checked.append(good)
    if wrong:
        refusal = Refused("", "")
        refusal.parts = wrong
        raise refusal
    return tuple(checked)


identifier: Check = matching(
    _ID, "1 to 40 letters (a-z, A-Z), digits, '-', '_' or '.', beginning with a letter or digit"
)


def timezone(value: object) -> ZoneInfo:
    """A time zone of the IANA database, by its name."""
    allowed = "a time zone's IANA name, such as Europe/Lisbon"
    if isinstance(value, str) and len(value) <= 60 and _ZONE.fullmatch(value):
        try:
            return ZoneInfo(value)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            raise Refused(shown(value) + did_you_mean(value, available_timezones()), allowed) from None
    raise Refused(shown(value), allowed)


def host(value: object) -> str:
    """A host's name or IP address, without a port."""
    if isinstance(value, str) and (_is_address(value) or _is_host_name(value)):
        return value
    # Somebody may have put user:password@host here: that is never shown.
    found = "a text with an @" if isinstance(value, str) and "@" in value else shown(value)
    raise Refused(found, "a server's name or IP address alone, such as mail.school.example")


def mail_address(value: object) -> str:
    """A plain mail address (RFC 5321 sizes, ASCII, no display name)."""
    if isinstance(value, str) and len(value) <= 254 and value.isascii():
        local, _, domain = value.rpartition("@")
        if len(local) <= 64 and _LOCAL_PART.fullmatch(local) and _is_host_name(domain):
            return value
    raise Refused(shown(value), "a plain mail address, such as teacher@school.example")


def is_loopback(name: str) -> bool:
    """Whether a host can only be this very machine."""
    return ipaddress.ip_address(name).is_loopback if _is_address(name) else name.lower() == "localhost"


def _is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def _is_host_name(name: str) -> bool:
    labels = name.split(".")
    numeric = labels[-1].isdigit()  # 300.1.1.1 is a mistyped address, not a name
    return len(name) <= 253 and not numeric and all(_HOST_LABEL.fullmatch(label) for label in labels)
