"""Tests of tins that people have kept, or take back.

Loaded when the first of these requests comes: a daemon may run for years without one.
"""

import sqlite3
from collections.abc import Mapping
from typing import Any

from daemon.errors import InputError
from daemon.input.file import shown
from daemon.planning.tin_test import KeptTest, TinTest, checked
from daemon.requests.request_words import text, whole
from daemon.store import tin_tests

_ONCE_S = 600  # the same test kept again within ten minutes is a double tap, not a second dish
_MOST_NAME = 80  # as `[[lot]] id` has it


def answer(connection: sqlite3.Connection, words: Mapping[str, Any], now: int) -> dict[str, Any]:
    """The answer to a request. Raises InputError for what makes no sense; then nothing was changed."""
    match words.get("ask"):
        case "tin keep":
            return {"id": _kept(connection, words, now)}
        case "tin withdraw":
            withdrawn = tin_tests.withdraw(connection, whole(words, "id"), now)
            return {"id": withdrawn.id, "lot": withdrawn.lot}
        case other:
            raise InputError(f"request: found {shown(other)}; allowed: tin keep, tin withdraw")


def _kept(connection: sqlite3.Connection, words: Mapping[str, Any], now: int) -> int:
    lot, test = name_of_tin(text(words, "lot")), _test(words)
    same = [one for one in tin_tests.standing(connection, now) if _is_again(one, lot, test, now)]
    return same[-1].id if same else tin_tests.add(connection, lot, test, now)


def name_of_tin(given: str) -> str:
    """A name that deeds can bear too. Raises InputError."""
    name = given.strip()
    if not 1 <= len(name) <= _MOST_NAME or not name.isprintable() or ";" in name:
        allowed = f"one line without a semicolon, 1 to {_MOST_NAME} characters"
        raise InputError(f"lot: found {shown(given)}; allowed: {allowed}")
    return name


def _test(words: Mapping[str, Any]) -> TinTest:
    hours, water_c = _number(words, "hours"), _number(words, "water_c")
    umbrella, full_left = (None if words.get(name) is None else whole(words, name) for name in _NAMES[4:])
    put, hatched = whole(words, "put"), whole(words, "hatched")
    return checked(TinTest(put, hatched, hours, water_c, umbrella, full_left), names=_NAMES)


_NAMES = ("put", "hatched", "hours", "water_c", "umbrella", "full_left")


def _number(words: Mapping[str, Any], name: str) -> float:
    """It must be there: of a test without it nobody could say later whether it was long enough."""
    given = words.get(name)
    if isinstance(given, bool) or not isinstance(given, int | float):
        found = "nothing" if given is None else shown(given)
        raise InputError(f"{name}: found {found}; allowed: a number; a test is kept with hours and warmth")
    return float(given)


def _is_again(one: KeptTest, lot: str, test: TinTest, now: int) -> bool:
    return (one.lot, one.test) == (lot, test) and now - one.at <= _ONCE_S
