"""The last step: the file as it will be, what is still wrong with it, and how the station begins by it."""

import sqlite3
from collections.abc import Sequence
from contextlib import closing
from difflib import unified_diff

from daemon.config import parse_station
from daemon.errors import InputError, NaupliadError
from daemon.page.deeds.asking import told
from daemon.page.setting_up.draft import forget_draft
from daemon.page.setting_up.station_text import NAME
from daemon.page.setting_up.under_way import UnderWay
from daemon.person_names import to_ask_about
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.file import open_for_reading
from reports.page.setting_up import kept as words
from reports.page.setting_up.steps import KEYS
from reports.page.station_records import name_lines

_TABLE_STEP = {"station": "room", "probe": "probes", "vessel": "vessels", "post": "letters", "page": "page"}
_NEWEST_S = 15 * 60


def step_of(path: str) -> str:
    """The step that a fault's path belongs to; the last one for what no step asks."""
    table = path.partition(".")[0].partition("[")[0]
    return _TABLE_STEP.get(table, KEYS[-1])


def table_of(step: str) -> str:
    """The table that a step is about; empty for none."""
    return next((table for table, own in _TABLE_STEP.items() if own == step), "")


def shown(at: UnderWay, language: str, faults: Sequence[tuple[str, str]]) -> dict[str, object]:
    """What the step's template is given."""
    text = at.text.text
    changes = unified_diff(at.file.text.splitlines(), text.splitlines(), lineterm="", n=1)
    return {
        "text": text,
        "faults": [(step_of(path), f"{path}: {said}" if path else said) for path, said in faults],
        "path": at.file.path,
        "why_not": at.file.why_not,
        "changes": [one for one in changes if not one.startswith(("---", "+++"))] if at.file.text else [],
        "same": bool(at.file.text) and text == at.file.text,
        "replaces": bool(at.file.text),
        "names": name_lines(language, [] if faults else _names(at)),
        "gone": [] if faults else words.gone_lines(language, _gone(at)),
    }


def answer_no_names(at: UnderWay) -> None:
    """What looked like a person's name is none: the text says so."""
    answered = at.text.table("station").get("no_names")
    kept = [one for one in answered if isinstance(one, str)] if isinstance(answered, list) else []
    if not at.faults and (names := _names(at)):
        at.text.put("station", {"no_names": [*kept, *names]})


def _names(at: UnderWay) -> list[str]:
    """The labels of a text without faults that look like a person's name."""
    station = parse_station(at.text.text, NAME)
    return to_ask_about(station.labels, station.no_names)


def _gone(at: UnderWay) -> list[str]:
    """The vessels of the file that stands which the text, one without faults, has no more."""
    try:
        before = parse_station(at.file.text, NAME)
    except InputError:
        return []
    now = {vessel.id for vessel in parse_station(at.text.text, NAME).vessels}
    return [vessel.id for vessel in before.vessels if vessel.id not in now]


def keep(at: UnderWay) -> None:
    """Have the daemon keep the text, in place of the file it was begun from. Raises NotDone with why not."""
    told(at.state, {"ask": "keep-file", "text": at.text.text, "instead_of": at.began_from})
    forget_draft(at.folder)


def begun(at: UnderWay, language: str, now: float) -> dict[str, object]:
    """How far the station has begun by the file that stands: what each of its probes read last.

    `reads`: it goes by that file, and each has read; `well`: and each well.
    """
    try:
        station = parse_station(at.file.text, NAME)
    except InputError as refused:
        return {"lines": list(refused.faults), "reads": False, "well": False}
    newest: dict[str, tuple[float | None, str]] = {}
    taken_up = False
    try:
        with closing(open_for_reading(at.state)) as connection:
            taken_up = run_store.station_file(connection) == at.file.text
            for probe in station.probes if taken_up else ():
                found = reading_store.latest(connection, probe.id)
                if found is not None and now - found.at < _NEWEST_S:
                    newest[probe.id] = (found.value, found.quality.value)
    except (NaupliadError, sqlite3.Error):
        newest = {}
    unit = station.temperature_unit
    lines = [
        words.first_reading(language, probe.id, probe.measures.value, newest.get(probe.id), unit)
        for probe in station.probes
    ]
    return {
        "lines": lines if taken_up else [],
        "reads": len(newest) == len(station.probes),
        "well": all(quality == "good" for _, quality in newest.values()),
    }
