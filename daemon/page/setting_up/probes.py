"""The step of the probes: those that the machine shows, those told by hand, and which one is in a hand."""

import json
from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from werkzeug.datastructures import MultiDict

from daemon.page.setting_up import typed
from daemon.page.setting_up.probes_found import (
    BY_HAND,
    EITHER,
    MOST_TOLD,
    OWN_KEYS,
    Found,
    attached,
    in_hand_k,
    is_found,
    read_by_hand,
    was_text,
)
from daemon.page.setting_up.under_way import UnderWay
from reports.page.setting_up import probes as words

_NEXT_ID = {"float": "float", "mcp3008": "light", "photocell": "light"}
_MEASURES_BY_HAND = {"float": "float_low", "mcp3008": "light_fraction", "photocell": "light_fraction"}
_CORRECTIONS = ("offset_c", "dark", "lit")


def shown(
    at: UnderWay, language: str, faults: list[tuple[str, str]], was: Mapping[str, float]
) -> dict[str, object]:
    """What the step's template is given; `was` are the first readings, by `Found.number`."""
    there = attached(at)
    entries = at.text.entries("probe")
    rows: list[words.ProbeRow] = []
    for place, entry in enumerate(entries, start=1):
        one = next((one for one in there if is_found(entry, one)), None)
        seen = one or read_by_hand(at, entry)
        own = tuple(
            f"{path.removeprefix(f'probe[{place}]').strip('.')}: {line}".removeprefix(": ")
            for path, line in faults
            if path.startswith(f"probe[{place}]")
        )
        rows.append(_row(language, at.unit, len(rows) + 1, place, entry, seen, was, own))
    named = {one.number for one in there if any(is_found(entry, one) for entry in entries)}
    for one in there:
        if one.number not in named:
            new = {"id": one.id, "measures": one.measures, "driver": one.driver, **one.keys}
            rows.append(_row(language, at.unit, len(rows) + 1, 0, new, one, was, ()))
    return {
        "rows": rows,
        "nothing": "" if there else words.nothing(language),
        "was": was_text({**{one.number: one.value for one in there if one.value is not None}, **was}),
        "whole": [line for path, line in faults if path == "probe" and not rows],
    }


def now(at: UnderWay, language: str, was: Mapping[str, float]) -> dict[str, dict[str, object]]:
    """What each reads now, by its number, in words; and whether it is in a hand."""
    there = attached(at)
    in_hand = in_hand_k(there, was)
    return {
        one.number: {
            "reads": words.reading(language, one.measures, one.value, at.unit),
            "held": words.held(language, in_hand[one.number], at.unit) if one.number in in_hand else "",
        }
        for one in there
    }


def taken(at: UnderWay, form: MultiDict[str, str]) -> None:
    """What was typed goes into the text: probes ticked and named, one more that was told by hand."""
    entries = at.text.entries("probe")
    renamed: dict[str, str] = {}
    away = []
    for row in range(1, 41):
        place = typed.whole(form.get(f"place-{row}", ""))
        keys = _told(form.get(f"told-{row}", ""))
        if not isinstance(place, int) or not 0 <= place <= len(entries) or (place == 0 and not keys):
            continue
        if not form.get(f"use-{row}"):
            away.extend([place] if place else [])
            continue
        values = {
            "id": typed.line(form.get(f"id-{row}", "")),
            "measures": form.get(f"measures-{row}") or None,
        }
        if place:
            was = entries[place - 1].get("id")
            if isinstance(was, str) and isinstance(values["id"], str) and was != values["id"]:
                renamed[was] = values["id"]
            at.text.put_entry("probe", place - 1, values)
        else:
            at.text.put_entry("probe", len(at.text.entries("probe")), {**values, **keys})
    _add_by_hand(at, form)
    for place in sorted(away, reverse=True):
        at.text.drop_entry("probe", place - 1)
    _rename(at, renamed)


def _row(
    language: str,
    unit: str,
    row: int,
    place: int,
    entry: Mapping[str, Any],
    seen: Found | None,
    was: Mapping[str, float],
    faults: tuple[str, ...],
) -> words.ProbeRow:
    driver, measures = str(entry.get("driver", "")), str(entry.get("measures", ""))
    keys = {key: value for key, value in entry.items() if key not in OWN_KEYS}
    names = EITHER if driver == "ds18b20" else (measures,)
    gain = in_hand_k([seen] if seen else [], was)
    checks = _checks(driver, measures) if place else ()
    return words.ProbeRow(
        row,
        place,
        typed.shown(entry.get("id")),
        "" if place else json.dumps({"driver": driver, **keys}, default=str),
        seen.number if seen else "",
        measures,
        words.choices(language, names if measures in names else (*names, measures)),
        words.known_by(language, driver, keys),
        words.absent(language) if seen is None else words.reading(language, measures, seen.value, unit),
        words.held(language, gain[seen.number], unit) if seen and seen.number in gain else "",
        seen.doubts if seen else (),
        seen.notes if seen else (),
        faults,
        checks,
        ", ".join(f"{key} = {entry[key]}" for key in _CORRECTIONS if key in entry),
    )


def _checks(driver: str, measures: str) -> tuple[str, ...]:
    """As `naupliad probes --ice` and `--light` take them."""
    if driver == "ds18b20" or measures == "water_c":
        return ("ice",) if driver in ("ds18b20", "iio", "hwmon") else ()
    return ("light",) if driver in ("mcp3008", "photocell") or measures == "light_lux" else ()


def _told(text: str) -> dict[str, Any]:
    """The keys of a new row, as its form carried them; none where they are none."""
    with suppress(ValueError, RecursionError):
        found = json.loads(text[:MOST_TOLD])
        if isinstance(found, dict):
            return {
                key: value
                for key, value in found.items()
                if isinstance(value, str | int | float) and not isinstance(value, bool)
            }
    return {}


def _add_by_hand(at: UnderWay, form: MultiDict[str, str]) -> None:
    driver, number = form.get("add-driver", ""), form.get("add-number", "")
    if driver not in BY_HAND or not number.strip():
        return
    taken_ids = {one.get("id") for one in at.text.entries("probe")}
    free = (f"{_NEXT_ID[driver]}{n or ''}" for n in range(100))
    values: dict[str, typed.Value] = {
        "id": next(one for one in free if one not in taken_ids),
        "measures": _MEASURES_BY_HAND[driver],
        "driver": driver,
        BY_HAND[driver]: typed.whole(number),
    }
    if driver == "float":
        values["low_when"] = form.get("add-low-when") or None
    at.text.put_entry("probe", len(at.text.entries("probe")), values)


def _rename(at: UnderWay, renamed: Mapping[str, str]) -> None:
    """The vessels go on with the probes they have."""
    if not renamed:
        return
    for place, vessel in enumerate(at.text.entries("vessel")):
        probes = vessel.get("probes")
        if isinstance(probes, list) and any(one in renamed for one in probes if isinstance(one, str)):
            at.text.put_entry(
                "vessel",
                place,
                {"probes": [renamed.get(one, one) if isinstance(one, str) else one for one in probes]},
            )
