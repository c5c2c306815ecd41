"""datapackage.json: what an export's files hold, by Frictionless Data Package v1, tabular [M]."""

import re
import unicodedata
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from daemon.export.columns import DataTable, schema_of
from daemon.export.csv_file import Written

FILE_NAME = "datapackage.json"
_ABOUT = (
    "What a station that watches cups of brine in which brine shrimp hatch has read, estimated and written, "
    "and what people did. Moments stand twice, by UTC and by the station's clock, RFC 3339. An empty cell is "
    "no value. In columns of text an apostrophe stands before =, +, -, @, a tab or a line's end that begins "
    "a cell, also after blanks or a semicolon, so that no spreadsheet program calculates it: take one away "
    "to have the text as it was written. No licence is named: whose station it is says what may be done with "
    "it."
)


def descriptor(
    station: str, made_at: int, files: Sequence[tuple[DataTable, Written]], *, whole: bool
) -> dict[str, Any]:
    """The description of these files, made at `made_at` (Unix s); `whole`: of all the records there are."""
    return {
        "profile": "tabular-data-package",
        "name": _name(station),
        "title": station,
        "description": _ABOUT,
        "created": datetime.fromtimestamp(made_at, UTC).isoformat().replace("+00:00", "Z"),
        "sources": [{"title": f"Naupliad, station {station}"}],
        "resources": [_resource(table, file, whole=whole) for table, file in files],
    }


def _name(station: str) -> str:
    """Small letters, digits and dashes are all that a package's name may hold."""
    plain = unicodedata.normalize("NFKD", station).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-") or "station"


def _resource(table: DataTable, file: Written, *, whole: bool) -> dict[str, Any]:
    return {
        "profile": "tabular-data-resource",
        "name": table.name,
        "path": table.file,
        "title": table.title,
        "description": table.about,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "bytes": file.bytes,
        "hash": f"sha256:{file.sha256}",
        "dialect": {
            "delimiter": ",",
            "lineTerminator": "\r\n",
            "quoteChar": '"',
            "doubleQuote": True,
            "header": True,
        },
        "schema": schema_of(table, whole=whole),
    }
