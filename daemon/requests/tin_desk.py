"""Tests of tins that people have kept, or take back.

Loaded when the first of these requests comes: a daemon may run for years without one.
"""

import sqlite3
from collections.abc import Mapping
from typing import Any

from daemon.care.past_moment import AHEAD_S, ahead
from daemon.errors import InputError
from daemon.input.file import shown
from daemon.planning.tin_test import KeptTest, TinTest, checked
from daemon.requests.request_words import moment, text, whole
from daemon.store import tin_tests

_ONCE_S = 60  # the same form again within a minute is a double tap, not a second dish
_ALIKE_S = 600  # so near to another of the same figures it is asked about
_MOST_NAME = 80  # as `[[lot]] id` has it


def answer(connection: sqlite3.Connection, words: Mapping[str, Any], now: int) -> dict[str, Any]:
    """The answer to a request. Raises InputError for what makes no sense; then nothing was changed."""
    match words.get("ask"):
        case "tin keep":
            return _kept(connection, words, now)
        case "tin withdraw":
            withdrawn = tin_tests.withdraw(connection, whole(words, "id"), now)
            return {"id": withdrawn.id, "lot": withdrawn.lot}
        case other:
            raise InputError(f"request: found {shown(other)}; allowed: tin keep, tin withdraw")


def _kept(connection: sqlite3.Connection, words: Mapping[str, Any], now: int) -> dict[str, Any]:
    """The test's number. `again`: nothing was kept, since the same form came a moment ago; `like`: the newest
    that says the same, counted at about that time. Words with `typed` are no form that came twice."""
    lot, test, at = name_of_tin(text(words, "lot")), _test(words), _counted_at(words, now)
    alike = [one for one in tin_tests.standing(connection, now) if _is_alike(one, lot, test, at)]
    if alike and words.get("typed") is not True and at - alike[-1].at <= _ONCE_S:
        return {"id": alike[-1].id, "again": True}
    like = {"like": alike[-1].id} if alike else {}
    return {"id": tin_tests.add(connection, lot, test, at), **like}


def _counted_at(words: Mapping[str, Any], now: int) -> int:
    """When it was counted (Unix s): now, where that is left out. Raises InputError."""
    at = now if words.get("at") is None else moment(words, "at")
    if at > now + AHEAD_S:
        raise InputError(f"at: found a moment {ahead(at - now)} ahead; allowed: now or earlier")
    return min(at, now)


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


def _is_alike(one: KeptTest, lot: str, test: TinTest, at: int) -> bool:
    return (one.lot, one.test) == (lot, test) and abs(at - one.at) <= _ALIKE_S
