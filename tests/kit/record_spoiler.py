"""Spoils single values inside rows and index entries of an SQLite file, byte by byte, as a worn card does.

It knows just enough of the file format (https://sqlite.org/fileformat.html) to find a value's own bytes:
pages, cells, lengths and everything else that holds the file together stay as they are.
"""

import sqlite3
import struct
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from random import Random

_TABLE_LEAF, _TABLE_INSIDE, _INDEX_LEAF, _INDEX_INSIDE = 13, 5, 10, 2
_INT_BYTES = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}


@dataclass(frozen=True)
class Cell:
    """A record in the file: where its length stands, and its rowid where it has one."""

    at: int
    rowid: int | None


@dataclass(frozen=True)
class Value:
    """A value in the file: where its bytes and its type stand; `size` 0 where it lies on other pages too."""

    column: int
    at: int
    size: int
    type_at: int
    kind: int
    whole: bool


@dataclass(frozen=True)
class Spoiled:
    """What was spoiled: a table's row, as it had been (None for an index entry), and how."""

    name: str
    row: tuple[object, ...] | None
    column: str
    how: str


class Spoiler:
    """A closed store's file in memory, spoiled and written back."""

    def __init__(self, path: Path) -> None:
        """`path`: a database whose log is folded in."""
        self._path = path
        self._bytes = bytearray(path.read_bytes())
        self._page = int.from_bytes(self._bytes[16:18], "big")
        self._usable = self._page - self._bytes[20]
        with closing(sqlite3.connect(path)) as connection:
            self._trees = connection.execute(
                "SELECT type, name, tbl_name, rootpage FROM sqlite_master WHERE rootpage > 0 "
                "AND tbl_name NOT LIKE '%sqlite%' AND tbl_name <> 'row_set_aside' ORDER BY name"
            ).fetchall()
            self._columns = {
                table: connection.execute(f"PRAGMA table_info({table})").fetchall()
                for _, _, table, _ in self._trees
            }
        self._cells = {name: list(self._cells_of(root)) for _, name, _, root in self._trees}
        self._rows: dict[Cell, tuple[object, ...]] = {}  # of cells that were spoiled, as they had been

    def spoil(self, chance: Random, *, only: str | None = None) -> Spoiled:
        """Spoil one value of a row or index entry, of any table alike; `only` one table or index."""
        trees = [tree for tree in self._trees if self._cells[tree[1]] and only in (None, tree[1])]
        kind, name, table, _ = chance.choice(trees)
        cells = [cell for cell in self._cells[name] if any(value.size for value in self._values(cell))]
        if not cells:  # nothing there but nulls, noughts and ones
            return self.spoil(chance)
        cell = chance.choice(cells)
        value = chance.choice([value for value in self._values(cell) if value.size])
        if kind == "table" and cell not in self._rows:
            self._rows[cell] = self._row(table, cell)
        row = self._rows.get(cell)
        how = self._hurt(value, chance)
        columns = self._stored_columns(table) if kind == "table" else []
        return Spoiled(name, row, columns[value.column] if columns else f"entry {value.column}", how)

    def write(self) -> None:
        self._path.write_bytes(self._bytes)

    # --- how a value is hurt

    def _hurt(self, value: Value, chance: Random) -> str:
        span = slice(value.at, value.at + value.size)
        ways = ["bit", "bytes", "all"]
        if value.kind >= 12:
            ways += ["letters", "type"]
        elif value.kind in (6, 7):
            ways.append("type")
        how = chance.choice(ways)
        match how:
            case "bit":
                self._bytes[value.at + chance.randrange(value.size)] ^= 1 << chance.randrange(8)
            case "bytes":
                for _ in range(chance.randint(1, min(4, value.size))):
                    self._bytes[value.at + chance.randrange(value.size)] = chance.randrange(256)
            case "all":
                self._bytes[span] = chance.randbytes(value.size)
            case "letters":
                self._bytes[span] = bytes(chance.choices(b'abcdefgxyz{}[]":,0123456789-. ', k=value.size))
            case "type":
                self._bytes[value.type_at] ^= 1  # text and blob, an integer and a float of eight bytes
        return how

    # --- the file format

    def _cells_of(self, number: int) -> Iterator[Cell]:
        """The records of a tree, from its root page on."""
        page = (number - 1) * self._page
        head = page + (100 if number == 1 else 0)
        kind, count = self._bytes[head], self._number(head + 3, 2)
        inside = kind in (_TABLE_INSIDE, _INDEX_INSIDE)
        pointers = head + (12 if inside else 8)
        for place in range(count):
            cell = page + self._number(pointers + 2 * place, 2)
            if inside:
                yield from self._cells_of(self._number(cell, 4))
                cell += 4
            if kind != _TABLE_INSIDE:
                rowid = None
                if kind == _TABLE_LEAF:
                    _, after = self._varint(cell)
                    rowid, _ = self._varint(after)
                yield Cell(cell, rowid)
        if inside:
            yield from self._cells_of(self._number(head + 8, 4))

    def _values(self, cell: Cell) -> list[Value]:
        size, start = self._varint(cell.at)
        is_table = cell.rowid is not None
        if is_table:
            _, start = self._varint(start)
        head_size, at = self._varint(start)
        body, found, end = start + head_size, [], start + self._local(size, table=is_table)
        while at < start + head_size:
            kind, at = self._varint(at)
            last = at - 1  # a varint's last byte holds its lowest bits
            size_of = _INT_BYTES.get(kind, 8 if kind == 7 else (kind - 12) // 2 if kind >= 12 else 0)
            whole = body + size_of <= end
            found.append(Value(len(found), body, size_of if whole else 0, last, kind, whole))
            body += size_of
        return found

    def _local(self, size: int, *, table: bool) -> int:
        most = self._usable - 35 if table else (self._usable - 12) * 64 // 255 - 23
        least = (self._usable - 12) * 32 // 255 - 23
        if size <= most:
            return size
        spilled = least + (size - least) % (self._usable - 4)
        return spilled if spilled <= most else least

    def _row(self, table: str, cell: Cell) -> tuple[object, ...]:
        """A row as SQL has it, in the order of the table's columns; what lies on other pages is `...`."""
        stored = self._stored_columns(table)
        read = {stored[value.column]: self._read(value) for value in self._values(cell)}
        columns = self._columns[table]
        row = []
        for _, name, kind, _, _, key in columns:
            value = read.get(name)
            if key and kind == "INTEGER" and cell.rowid is not None:
                value = cell.rowid
            row.append(float(value) if kind == "REAL" and isinstance(value, int) else value)
        return tuple(row)

    def _stored_columns(self, table: str) -> list[str]:
        """A table's columns in the order in which its records hold them: without rowid, its key first."""
        columns = self._columns[table]
        root = next(root for _, name, _, root in self._trees if name == table)
        if self._bytes[(root - 1) * self._page] in (_TABLE_LEAF, _TABLE_INSIDE):
            return [column[1] for column in columns]
        keys = sorted((column for column in columns if column[5]), key=lambda column: column[5])
        return [column[1] for column in [*keys, *(column for column in columns if not column[5])]]

    def _read(self, value: Value) -> object:
        if not value.whole:
            return ...
        raw = bytes(self._bytes[value.at : value.at + value.size])
        if value.kind in _INT_BYTES:
            return int.from_bytes(raw, "big", signed=True)
        if value.kind == 7:
            return struct.unpack(">d", raw)[0]
        if value.kind in (8, 9):
            return value.kind - 8
        if value.kind < 12:
            return None
        return raw.decode("utf-8", "replace") if value.kind % 2 else raw

    def _number(self, at: int, size: int) -> int:
        return int.from_bytes(self._bytes[at : at + size], "big")

    def _varint(self, at: int) -> tuple[int, int]:
        """A variable-length integer and where the next byte stands."""
        value = 0
        for place in range(8):
            byte = self._bytes[at + place]
            value = value << 7 | byte & 0x7F
            if byte < 0x80:
                return value, at + place + 1
        return value << 8 | self._bytes[at + 8], at + 9
