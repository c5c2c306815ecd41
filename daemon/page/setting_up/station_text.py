"""A station file as a text that is edited: what is not touched stays as somebody wrote it, comments too."""

from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Table

from daemon.config import parse_station
from daemon.errors import InputError
from daemon.input.toml import read_toml

# The name that stands before each fault, and is left out where it is shown beside its field.
NAME = "station.toml"


class StationText:
    """A text with its tables as plain values; each change makes the text anew."""

    def __init__(self, text: str) -> None:
        """Raises InputError for what is no TOML, as `daemon.config` does."""
        read_toml(text, NAME)
        try:
            self._toml = tomlkit.parse(text)
        except (
            TOMLKitError,
            ValueError,
        ) as error:  # it knows TOML a little less well than the standard library
            raise InputError(f"{NAME}: found what cannot be edited here: {error}") from error

    @property
    def text(self) -> str:
        """As it is now."""
        return tomlkit.dumps(self._toml)

    def table(self, name: str) -> dict[str, Any]:
        """The values of a table; empty where there is none, or something else."""
        found = self._plain().get(name)
        return found if isinstance(found, dict) else {}

    def entries(self, name: str) -> list[dict[str, Any]]:
        """The tables under [[name]]; what is no table is an empty one, so that places keep their numbers."""
        found = self._plain().get(name)
        return [one if isinstance(one, dict) else {} for one in found] if isinstance(found, list) else []

    def has(self, name: str) -> bool:
        """Whether there is anything of that name."""
        return name in self._toml

    def put(self, name: str, values: Mapping[str, Any]) -> None:
        """Set keys of a table, made where there is none; None takes a key away."""
        if not self.table(name):
            if name in self._toml:
                self._toml.remove(name)
            if all(value is None for value in values.values()):
                return
            self._toml.append(name, self._below(tomlkit.table()))
        _set(self._toml[name], values)

    def drop(self, name: str) -> None:
        """Take a table away."""
        if name in self._toml:
            self._toml.remove(name)

    def put_entry(self, name: str, place: int, values: Mapping[str, Any]) -> None:
        """Set keys of the entry at `place` (from 0 on) of [[name]]; the place behind the last makes one more.

        Raises IndexError for a place beyond that.
        """
        if not isinstance(self._plain().get(name), list):
            self.drop(name)
        if name not in self._toml:
            self._toml.append(name, tomlkit.aot())
        entries: Any = self._toml[name]
        if place > len(entries):
            raise IndexError(place)
        if place == len(entries):
            entries.append(
                self._below(tomlkit.table()) if isinstance(entries, AoT) else tomlkit.inline_table()
            )
        _set(entries[place], values)

    def drop_entry(self, name: str, place: int) -> None:
        """Take the entry at `place` away. Raises IndexError where there is none."""
        entries: Any = self._toml.get(name, [])
        if not 0 <= place < len(entries):
            raise IndexError(place)
        del entries[place]
        if not len(entries):
            self.drop(name)

    def _below(self, table: Table) -> Table:
        """With an empty line before it, where anything stands before it."""
        table.trivia.indent = "\n" if self.text and not self.text.endswith("\n\n") else ""
        return table

    def _plain(self) -> dict[str, Any]:
        return self._toml.unwrap()


def _set(table: Any, values: Mapping[str, Any]) -> None:
    for name, value in values.items():
        if value is None:
            table.pop(name, None)
        elif name not in table or table[name] != value or type(_unwrapped(table[name])) is not type(value):
            table[name] = value


def _unwrapped(value: Any) -> Any:
    """As plain Python has it: truth is no item of its own."""
    return value.unwrap() if hasattr(value, "unwrap") else value


def faults_of(text: str) -> list[tuple[str, str]]:
    """What the station file's own check finds: a key's path, such as `vessel[1].low_ml`, and what of it.

    The path is empty where a line is about the whole file.
    """
    try:
        parse_station(text, NAME)
    except InputError as refused:
        return [_placed(line) for line in refused.faults]
    return []


def _placed(line: str) -> tuple[str, str]:
    said = line.removeprefix(f"{NAME}: ")
    path, colon, rest = said.partition(": ")
    return (path, rest) if colon and " " not in path else ("", said)
