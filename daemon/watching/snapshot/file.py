"""The file a snapshot is kept in: JSON, a line a part, compressed, behind a line with its name and checksum.

A line is made, and read, when its turn comes: all of a station at once would take ten times the memory, and
the daemon would keep the half of it in pieces.

It may be cut off, spoiled, foreign, a pipe: then there is none. It is written beside itself and put in place
whole, so a power cut leaves the old one or the new one.
"""

import json
import os
import stat
import zlib
from collections.abc import Iterable
from hashlib import sha256
from pathlib import Path
from typing import Any

from daemon.watching.snapshot.codec import Unkept

FILE_NAME = "beliefs.snapshot"
_MAGIC = b"naupliad snapshot 2 "
_MOST_BYTES = 2**24  # of the file; 24 vessels make 2 MB
_MOST_UNPACKED = 2**26
_LEVEL = 1  # twice as quick as 6, for a tenth more


def write(folder: Path, lines: Iterable[Any]) -> None:
    """Keep what JSON can say, a line each. Raises OSError where the disk takes nothing."""
    packing = zlib.compressobj(_LEVEL)
    pieces = [packing.compress(json.dumps(line, separators=(",", ":")).encode() + b"\n") for line in lines]
    packed = b"".join([*pieces, packing.flush()])
    path, beside = folder / FILE_NAME, folder / f"{FILE_NAME}.new"
    with beside.open("wb") as file:
        file.write(_MAGIC + sha256(packed).hexdigest().encode() + b"\n" + packed)
        file.flush()
        os.fsync(file.fileno())
    beside.replace(path)


def read(folder: Path) -> list[bytes]:
    """The lines that were kept, for `said`; empty where there is nothing, or nothing whole."""
    try:
        return _lines(_bytes(folder / FILE_NAME))
    except (OSError, ValueError, zlib.error):
        return []


def said(line: bytes) -> Any:
    """What a line says. Raises Unkept for what is no JSON."""
    try:
        return json.loads(line)
    except (ValueError, RecursionError) as error:
        raise Unkept(f"snapshot: found no JSON ({error}); allowed: what this program wrote") from error


def _bytes(path: Path) -> bytes:
    """Of a regular file of a likely size: nothing else is opened for longer than it takes to see that."""
    descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
    with os.fdopen(descriptor, "rb") as file:
        told = os.fstat(descriptor)
        if not stat.S_ISREG(told.st_mode) or told.st_size > _MOST_BYTES:
            raise ValueError(path)
        return file.read(_MOST_BYTES)


def _lines(kept: bytes) -> list[bytes]:
    head, _, packed = kept.partition(b"\n")
    if head != _MAGIC + sha256(packed).hexdigest().encode():
        raise ValueError(head[:40])
    unpacking = zlib.decompressobj()
    text = unpacking.decompress(packed, _MOST_UNPACKED)
    if not unpacking.eof:
        raise ValueError("larger than any of ours")
    return text.splitlines()
