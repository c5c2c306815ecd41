"""The step of the room: name, time zone, language, when somebody is there."""

from collections.abc import Mapping
from zoneinfo import available_timezones

from werkzeug.datastructures import MultiDict

from daemon.config.machine_zone import machine_zone
from daemon.page.setting_up import typed
from daemon.page.setting_up.hours_rows import (
    days_rows,
    days_typed,
    faults_by_place,
    weekly_rows,
    weekly_typed,
)
from daemon.page.setting_up.under_way import UnderWay
from reports.page.setting_up import fields as words
from reports.page.setting_up.steps import weekdays

_USUAL = {"language": "en", "temperature_unit": "C"}


def shown(at: UnderWay, language: str, faults: list[tuple[str, str]]) -> dict[str, object]:
    """What the step's template is given."""
    table = at.text.table("station")
    values = {name: typed.shown(table.get(name)) for name in words.ROOM}
    values = {**values, "language": values["language"] or language}
    values["temperature_unit"] = values["temperature_unit"] or "C"
    told_zone = bool(values["timezone"])
    values["timezone"] = values["timezone"] or machine_zone()
    return {
        "fields": words.fields(
            language,
            words.ROOM,
            values,
            {path.removeprefix("station."): said for path, said in faults},
            suggested={"timezone": tuple(sorted(available_timezones()))},
        ),
        "guess_zone": not told_zone,
        "attended": weekly_rows(table.get("attended"), faults_by_place(faults, "station.attended")),
        "away": days_rows(table.get("away"), faults_by_place(faults, "station.away")),
        "weekdays": weekdays(language),
    }


def taken(at: UnderWay, form: MultiDict[str, str]) -> None:
    """What was typed goes into the text."""
    table = at.text.table("station")
    values: dict[str, typed.Value] = {
        name: typed.line(text) for name, text in typed.fields_of(form, *words.ROOM).items()
    }
    values = {name: _unless_usual(table, name, value) for name, value in values.items()}
    # What must be given is asked for beside its field, and keeps its place in the file.
    values.update({name: values[name] or "" for name in ("name", "timezone")})
    values["attended"] = weekly_typed(form, form.getlist("attended-day"), "attended") or None
    values["away"] = days_typed(form, "away") or None
    at.text.put("station", values)


def _unless_usual(table: Mapping[str, object], name: str, value: typed.Value) -> typed.Value:
    return None if name not in table and value == _USUAL.get(name) else value
