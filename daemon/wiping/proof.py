"""Whether wiped texts are gone: the bytes of every file are searched for pieces of each of them.

A store keeps a long text on several pages, so the whole of it need not lie in one place: it is searched for
in pieces, of which some lie on one page whole. What letters pack (RFC 2045) is unpacked first.
"""

import json
import mmap
import sqlite3
from collections.abc import Iterable, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from email import message_from_bytes, policy
from html import unescape
from pathlib import Path

from daemon.wiping.copies import looked_into

# A text is searched for in pieces of so many bytes: of 512 bytes a page of a store holds some whole.
_PIECE = 24
# What is shorter stands in any file by chance.
_LEAST = 5


@dataclass(frozen=True, slots=True)
class Left:
    """A text that was found, and where: a file, and "table.column" of a store in which it is seen."""

    text: str
    path: Path
    column: str


@dataclass(frozen=True, slots=True)
class Proof:
    """How many texts were searched for in how many files; how many were too short; what was found."""

    texts: int
    short: int
    files: int
    left: tuple[Left, ...]


def prove(texts: Iterable[str], files: Sequence[Path]) -> Proof:
    """Search every file for every text. Raises OSError for a file that cannot be read."""
    told = sorted(texts)
    long = [text for text in told if len(text.encode()) >= _LEAST]
    left = [found for path in files for found in _in_file(path, long)]
    return Proof(len(long), len(told) - len(long), len(files), tuple(left))


def _in_file(path: Path, texts: Sequence[str]) -> list[Left]:
    if path.stat().st_size == 0:
        return []
    with path.open("rb") as file, mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as content:
        found = [text for text in texts if any(content.find(piece) >= 0 for piece in _pieces(text))]
    if path.suffix == ".eml":
        found += _in_letters([path.read_bytes()], texts)
    with suppress(sqlite3.DatabaseError):
        found += _in_kept_letters(path, texts)
    return [Left(text, path, _column(path, text)) for text in dict.fromkeys(found)]


def _pieces(text: str) -> set[bytes]:
    """Of the text as it is, and as JSON writes it."""
    forms = (text, json.dumps(text, ensure_ascii=False)[1:-1], json.dumps(text)[1:-1])
    return {piece for form in forms for piece in _cut(form.encode())}


def _cut(text: bytes) -> list[bytes]:
    """The last piece ends with the text, so that none is too short to mean anything."""
    starts = [*range(0, max(len(text) - _PIECE, 0), _PIECE), max(len(text) - _PIECE, 0)]
    return [text[start : start + _PIECE] for start in starts]


def _in_kept_letters(path: Path, texts: Sequence[str]) -> list[str]:
    with closing(looked_into(path)) as connection:
        rows = connection.execute("SELECT message FROM letter WHERE message IS NOT NULL")
        return _in_letters((bytes(message) for (message,) in rows), texts)


def _in_letters(letters: Iterable[bytes], texts: Sequence[str]) -> list[str]:
    return [text for letter in letters for text in _in_letter(letter, texts)]


def _in_letter(letter: bytes, texts: Sequence[str]) -> list[str]:
    """By its parts that are text, on one line: a letter breaks what it quotes into lines."""
    parts = message_from_bytes(letter, policy=policy.default).walk()
    told = [str(part.get_content()) for part in parts if part.get_content_maintype() == "text"]
    lines = [" ".join(unescape(one).split()) for one in told]
    return [text for text in texts if any(" ".join(text.split()) in line for line in lines)]


def _column(path: Path, text: str) -> str:
    """Where in a store it is seen, as "table.column"; empty where it is in none, or the file is no store."""
    with suppress(sqlite3.DatabaseError), closing(looked_into(path)) as connection:
        for (table,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall():
            for row in connection.execute(f'PRAGMA table_info("{table}")').fetchall():
                if row[2] != "TEXT":
                    continue
                seen = f'SELECT 1 FROM "{table}" WHERE instr("{row[1]}", ?) LIMIT 1'
                if connection.execute(seen, (text,)).fetchone():
                    return f"{table}.{row[1]}"
    return ""
