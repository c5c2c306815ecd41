"""Reads a text as a file of a folder, and tells what a reader says against it."""

from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import pytest

from daemon.errors import InputError

Read = TypeVar("Read")


def reader_of(path: Path, read: Callable[[Path], Read]) -> Callable[[str | bytes], Read]:
    """A function that writes a text to `path` and reads it."""

    def written(text: str | bytes) -> Read:
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return read(path)

    return written


def faults_told(folder: Path, read: Callable[[str | bytes], object]) -> Callable[[str | bytes], list[str]]:
    """A function that gives the faults a reader finds in a text, without the folder's path."""

    def refuse(text: str | bytes) -> list[str]:
        with pytest.raises(InputError) as refusal:
            read(text)
        assert refusal.value.exit_code == 2
        return [fault.removeprefix(f"{folder}/") for fault in refusal.value.faults]

    return refuse
