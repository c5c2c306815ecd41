"""What a play leaves behind, as tests look at it."""

import json
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.kit.command_line import Said


@dataclass(frozen=True)
class Left:
    """A folder that a play wrote."""

    folder: Path

    @property
    def summary(self) -> dict[str, Any]:
        """summary.json."""
        return dict(json.loads((self.folder / "summary.json").read_text(encoding="utf-8")))

    def rows(self, query: str, *values: object) -> list[tuple[Any, ...]]:
        """What the store answers."""
        with closing(sqlite3.connect(f"file:{self.folder}/station.db?mode=ro", uri=True)) as connection:
            return connection.execute(query, values).fetchall()


@dataclass(frozen=True)
class Played(Left):
    """The same, and how the command ended that played it."""

    said: Said
