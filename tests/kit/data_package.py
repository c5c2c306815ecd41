"""Reads an export back as its own description says, and holds every cell to it.

Field names of Frictionless Data Package v1 and Table Schema v1 [M].
"""

import csv
import hashlib
import json
import re
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from io import StringIO
from pathlib import Path
from typing import Any

Rows = list[dict[str, Any]]

# RFC 3339, section 5.6; by UTC with a Z.
_UTC = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ")
_LOCAL = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d")
_NUMBER = re.compile(r"-?\d+(\.\d+)?([eE][+-]?\d+)?")
_NAME = re.compile(r"[-a-z0-9._/]+")


def read_package(folder: Path) -> tuple[dict[str, Any], dict[str, Rows]]:
    """The description of a folder and the rows of each resource; raises AssertionError for what is not so."""
    about = json.loads((folder / "datapackage.json").read_text(encoding="utf-8"))
    assert about["profile"] == "tabular-data-package"
    assert _NAME.fullmatch(about["name"])
    assert "licenses" not in about
    assert all(source["title"] for source in about["sources"])
    datetime.fromisoformat(about["created"])
    tables = {one["name"]: _rows(folder, one) for one in about["resources"]}
    assert {path.name for path in folder.iterdir()} == {
        "datapackage.json",
        *(one["path"] for one in about["resources"]),
    }
    for one in about["resources"]:
        _keys_hold(one, tables)
    return about, tables


def _rows(folder: Path, resource: Mapping[str, Any]) -> Rows:
    assert (resource["profile"], resource["encoding"]) == ("tabular-data-resource", "utf-8")
    raw = (folder / resource["path"]).read_bytes()
    assert len(raw) == resource["bytes"]
    assert f"sha256:{hashlib.sha256(raw).hexdigest()}" == resource["hash"]
    fields = resource["schema"]["fields"]
    assert resource["schema"]["missingValues"] == [""]
    header, *lines = records(raw)
    assert header == [field["name"] for field in fields]
    assert all(field["description"] for field in fields)
    return [
        {field["name"]: _value(field, cell) for field, cell in zip(fields, line, strict=True)}
        for line in lines
    ]


def records(raw: bytes) -> list[list[str]]:
    """Rows of a CSV: UTF-8, each ends with CR LF (RFC 4180, section 2)."""
    text = raw.decode("utf-8")
    assert raw.endswith(b"\r\n")
    return list(csv.reader(StringIO(text, newline=""), strict=True))


def _value(field: Mapping[str, Any], cell: str) -> Any:
    limits = field.get("constraints", {})
    if cell == "":
        assert not limits.get("required"), field["name"]
        return None
    value = _TYPES[field["type"]](cell, field["format"])
    assert value in limits.get("enum", [value]), (field["name"], value)
    assert "minimum" not in limits or value >= limits["minimum"]
    return value


def _number(cell: str, _form: str) -> float:
    assert _NUMBER.fullmatch(cell), cell
    return float(cell)


def _moment(cell: str, form: str) -> int:
    assert (_UTC if form == "default" else _LOCAL).fullmatch(cell), (cell, form)
    return int(datetime.fromisoformat(cell).timestamp())


def unguarded(cell: str) -> str:
    """The text of a cell as the store has it, by what docs/reference/export.md tells readers: an apostrophe
    before what would be a formula is taken away, wherever a cell may begin."""
    return re.sub(r"(?:^|(?<=[;\t\r\n]))'(?=[\s']*[=+\-@\t\r＝＋－＠])", "", cell)


_TYPES: Mapping[str, Callable[[str, str], Any]] = {
    "string": lambda cell, _form: unguarded(cell),
    "number": _number,
    "integer": lambda cell, _form: int(cell),
    "datetime": _moment,
}


def _keys_hold(resource: Mapping[str, Any], tables: Mapping[str, Rows]) -> None:
    schema, rows = resource["schema"], tables[resource["name"]]
    keys = [tuple(row[name] for name in schema["primaryKey"]) for row in rows]
    assert len(set(keys)) == len(keys)
    assert not any(None in key for key in keys)
    for foreign in schema.get("foreignKeys", ()):
        other = foreign["reference"]["resource"] or resource["name"]
        known = {row[foreign["reference"]["fields"]] for row in tables[other]}
        assert {row[foreign["fields"]] for row in rows} - {None} <= known, foreign


def formulas(raw: bytes, separators: Sequence[str] = (",", ";", "\t")) -> list[str]:
    """The cells that a spreadsheet program would calculate, whichever of these it takes for separators.

    A number that begins with a minus is one, and nothing to calculate.
    """
    found = []
    for separator in separators:
        for line in csv.reader(StringIO(raw.decode("utf-8"), newline=""), delimiter=separator):
            found += [cell for cell in line if re.match(r"\s*[=+\-@＝＋－＠]", cell) and not _is_number(cell)]
    return found


def _is_number(cell: str) -> bool:
    return re.match(r"-?\d+(\.\d+)?([eE][+-]?\d+)?(?![^,])", cell) is not None
