"""The file a snapshot is kept in: JSON, compressed, behind a line that says what it is and its checksum.

It may be cut off, spoiled, foreign, a pipe: then there is none. It is written beside itself and put in place
whole, so a power cut leaves the old one or the new one.
"""

import json
import os
import stat
import zlib
from hashlib import sha256
from pathlib import Path
from typing import Any

FILE_NAME = "beliefs.snapshot"
_MAGIC = b"naupliad snapshot 1 "
_MOST_BYTES = 2**24  # of the file; 24 vessels make 2 MB
_MOST_UNPACKED = 2**26
_LEVEL = 1  # twice as quick as 6, for a tenth more


def write(folder: Path, content: Any) -> None:
    """Keep what JSON can say. Raises OSError where the disk takes nothing."""
    said = json.dumps(content, separators=(",", ":")).encode()
    packed = zlib.compress(said, _LEVEL)
    path, beside = folder / FILE_NAME, folder / f"{FILE_NAME}.new"
    with beside.open("wb") as file:
        file.write(_MAGIC + sha256(packed).hexdigest().encode() + b"\n" + packed)
        file.flush()
        os.fsync(file.fileno())
    beside.replace(path)


def read(folder: Path) -> Any:
    """What was kept; None where there is nothing, or nothing whole."""
    try:
        return _content(_bytes(folder / FILE_NAME))
    except (OSError, ValueError, zlib.error, RecursionError):
        return None


def _bytes(path: Path) -> bytes:
    """Of a regular file of a likely size: nothing else is opened for longer than it takes to see that."""
    descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
    with os.fdopen(descriptor, "rb") as file:
        told = os.fstat(descriptor)
        if not stat.S_ISREG(told.st_mode) or told.st_size > _MOST_BYTES:
            raise ValueError(path)
        return file.read(_MOST_BYTES)


def _content(kept: bytes) -> Any:
    head, _, packed = kept.partition(b"\n")
    if head != _MAGIC + sha256(packed).hexdigest().encode():
        raise ValueError(head[:40])
    unpacking = zlib.decompressobj()
    said = unpacking.decompress(packed, _MOST_UNPACKED)
    if not unpacking.eof:
        raise ValueError("larger than any of ours")
    return json.loads(said)
