"""The steps of the vessels: their list, and the form of each."""

from collections.abc import Mapping
from typing import Any

from werkzeug.datastructures import MultiDict

from daemon.page.setting_up import typed
from daemon.page.setting_up.hours_rows import daily_rows, daily_typed, faults_by_place
from daemon.page.setting_up.under_way import UnderWay
from reports.page.setting_up import fields as words
from reports.page.setting_up import vessels as said

_WARMTH = ("cold_c", "hot_c", "heater_c")
_WHOLE = ("count",)
_TEXT = ("id", "kind", "watch")
_OF_THE_ROOM = ("room_c", "room_rh_pct")
_REQUIRED = ("id", "mark_ml", "surface_cm2", "low_ml")
_USUAL: Mapping[str, typed.Value] = {"kind": "cup", "watch": "always", "count": 1}


def listed(at: UnderWay, language: str, faults: list[tuple[str, str]]) -> dict[str, object]:
    """The vessels there are, each with how many things are wrong with it."""
    lines = []
    for place, one in enumerate(at.text.entries("vessel"), start=1):
        wrong = sum(_place(path) == place for path, _ in faults)
        lines.append(said.vessel_line(language, place, one, wrong))
    return {"vessels": lines}


def shown(at: UnderWay, language: str, faults: list[tuple[str, str]], place: int) -> dict[str, object]:
    """The form of the vessel at `place`, from 1 on; the one behind the last is new."""
    entries = at.text.entries("vessel")
    new = place > len(entries)
    entry = _new(at) if new else entries[place - 1]
    own = [(path.removeprefix(f"vessel[{place}]."), line) for path, line in faults if _place(path) == place]
    values = {name: typed.shown(_seen(name, entry.get(name), at.unit)) for name in words.VESSEL}
    values.update({name: values[name] or str(usual) for name, usual in _USUAL.items()})
    return {
        "fields": words.fields(
            language, words.VESSEL, values, dict(own), unit=at.unit, usual={"watch": "always"}
        ),
        "probes": said.probe_ticks(language, at.text.entries("probe"), _listed(entry.get("probes"))),
        "probe_faults": [line for path, line in own if path.partition("[")[0] == "probes"],
        "lamp": daily_rows(entry.get("lamp"), faults_by_place(own, "lamp")),
        "others": [f"{path}: {line}" for path, line in own if _elsewhere(path)],
        "place": place,
        "new": new,
        "name": typed.shown(entry.get("id")),
    }


def taken(at: UnderWay, form: MultiDict[str, str], place: int) -> None:
    """What was typed goes into the text. Raises IndexError for a vessel that is not there."""
    entries = at.text.entries("vessel")
    entry: dict[str, Any] = entries[place - 1] if place <= len(entries) else {}
    values: dict[str, typed.Value] = {}
    for name, text in typed.fields_of(form, *words.VESSEL).items():
        values[name] = _read(name, text, at.unit)
        if name not in entry and values[name] == _USUAL.get(name):
            values[name] = None
    across = values.pop("across_cm")
    if isinstance(across, float) and across > 0:
        values["surface_cm2"] = typed.round_surface_cm2(across)
    elif across is not None and values["surface_cm2"] is None:
        values["surface_cm2"] = across
    values.update({name: "" for name in _REQUIRED if values[name] is None})
    kept = {probe: None for probe in _listed(entry.get("probes")) if probe in form.getlist("probe")}
    values["probes"] = list(dict.fromkeys((*kept, *form.getlist("probe"))))
    values["lamp"] = daily_typed(form, "lamp") or None
    at.text.put_entry("vessel", place - 1, values)


def _read(name: str, text: str, unit: str) -> typed.Value:
    if name in _TEXT:
        return typed.line(text)
    if name in _WHOLE:
        return typed.whole(text)
    value = typed.number(text)
    return typed.celsius(value, unit) if name in _WARMTH else value


def _seen(name: str, value: object, unit: str) -> object:
    return typed.in_unit(value, unit) if name in _WARMTH else value


def _new(at: UnderWay) -> dict[str, Any]:
    """A vessel of which nothing is known: with the probes that no other has, and all of the room's."""
    used = {probe for one in at.text.entries("vessel") for probe in _listed(one.get("probes"))}
    found: dict[str, str] = {}
    for probe in at.text.entries("probe"):
        measures, name = str(probe.get("measures")), str(probe.get("id", ""))
        if name and measures not in found and (measures in _OF_THE_ROOM or name not in used):
            found[measures] = name
    return {"probes": list(found.values())}


def _place(path: str) -> int:
    """Which vessel a fault's path is about, from 1 on; 0 for none."""
    number = path.removeprefix("vessel[").partition("]")[0]
    return int(number) if path.startswith("vessel[") and number.isdecimal() else 0


def _elsewhere(path: str) -> bool:
    """Whether a fault has no field of its own in the form."""
    key = path.partition("[")[0]
    return key not in (*words.VESSEL, "probes", "lamp")


def _listed(values: object) -> list[str]:
    return [one for one in values if isinstance(one, str)] if isinstance(values, list) else []
