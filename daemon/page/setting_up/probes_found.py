"""The probes as the daemon finds them, and what of the text each is; which one is in a hand."""

import json
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from daemon.page.deeds.asking import NotDone, told
from daemon.page.setting_up.under_way import UnderWay
from reports.page.setting_up.probes import HELD_K

# What has no way to say that it is there, and the key that is asked for.
BY_HAND = {"float": "pin", "mcp3008": "channel", "photocell": "pin"}
EITHER = ("water_c", "room_c")  # what one thermometer may measure
OWN_KEYS = frozenset({"id", "measures", "driver"})
MOST_TOLD = 2000  # characters of what a row's form carries of its probe


@dataclass(frozen=True, slots=True)
class Found:
    """A probe that the daemon has looked at: what it is, what it reads, what makes it doubtful, what else is
    known of it."""

    driver: str
    measures: str
    keys: Mapping[str, Any]
    id: str
    value: float | None
    doubts: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def number(self) -> str:
        """By which it is told from others."""
        return json.dumps([self.driver, self.measures, dict(self.keys)], sort_keys=True)


def attached(at: UnderWay) -> list[Found]:
    """All that the machine shows, read now. Raises NotDone where the daemon does not answer."""
    return [_found(one) for one in told(at.state, {"ask": "attached"})["probes"]]


def plan_of(at: UnderWay, probe_id: str) -> tuple[int, dict[str, Any]] | None:
    """A probe of the set-up as the inbox's words name it, with its place from 1 on; None for none."""
    for place, entry in enumerate(at.text.entries("probe"), start=1):
        if entry.get("id") == probe_id:
            keys = {key: value for key, value in entry.items() if key not in OWN_KEYS}
            return place, {
                "probe": probe_id,
                "driver": entry.get("driver"),
                "measures": entry.get("measures"),
                "keys": keys,
            }
    return None


def is_found(entry: Mapping[str, Any], one: Found) -> bool:
    """Whether a probe of the text is the one that was found."""
    if entry.get("driver") != one.driver:
        return False
    if "address" in one.keys:
        return bool(entry.get("address") == one.keys["address"])
    if entry.get("measures") != one.measures or entry.get("device") != one.keys.get("device"):
        return False
    return "channel" not in entry or bool(entry["channel"] == one.keys.get("channel"))


def read_by_hand(at: UnderWay, entry: Mapping[str, Any]) -> Found | None:
    """What no device says of itself, read now; None where that cannot be."""
    driver, measures = entry.get("driver"), entry.get("measures")
    if driver not in BY_HAND or not isinstance(measures, str):
        return None
    keys = {key: value for key, value in entry.items() if key not in OWN_KEYS}
    try:
        answer = told(at.state, {"ask": "read-probe", "driver": driver, "measures": measures, "keys": keys})
    except NotDone as fault:
        return Found(driver, measures, keys, "", None, fault.faults, ())
    return _found({"driver": driver, "measures": measures, "keys": keys, **answer})


def in_hand_k(there: Sequence[Found], was: Mapping[str, float]) -> dict[str, float]:
    """By how much each has become warmer that is in a hand, K."""
    gains = {
        one.number: one.value - was[one.number]
        for one in there
        if one.value is not None and one.measures in EITHER and one.number in was
    }
    return {number: gain for number, gain in gains.items() if gain >= HELD_K}


def was_text(was: Mapping[str, float]) -> str:
    """First readings, as a form carries them."""
    return json.dumps(was, separators=(",", ":"))


def was_told(text: str | None) -> dict[str, float]:
    """First readings, as a form carried them; none where they are none."""
    with suppress(ValueError, RecursionError):
        found = json.loads((text or "")[: 4 * MOST_TOLD])
        if isinstance(found, dict):
            return {key: float(value) for key, value in found.items() if isinstance(value, int | float)}
    return {}


def _found(one: Mapping[str, Any]) -> Found:
    doubts = () if one["trusted"] else (f"{one['why']}. {one['do']}",)
    what = one["driver"], one["measures"], one["keys"], str(one.get("id", ""))
    return Found(*what, one["value"], doubts, tuple(one["notes"]))
