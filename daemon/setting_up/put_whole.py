"""A small file put in its place whole, or not at all, whenever the power goes."""

import os
from contextlib import suppress
from pathlib import Path

from daemon.errors import NaupliadError
from daemon.made_beside import not_taken

_FOR_THE_GROUP = 0o640
ONLY_OURS = 0o600


class FileBeside:
    """A file that is written out in full beside its place, and not yet in it."""

    def __init__(self, path: Path, content: bytes, mode: int = _FOR_THE_GROUP) -> None:
        """Write it. Raises NaupliadError in one line where the disk or the folder does not take it."""
        self._path = path
        self._beside = _beside(path)
        try:
            self._write(content, mode)
        except OSError as error:
            self.drop()
            raise not_taken(path, error) from error

    def put(self) -> None:
        """Into its place. Raises NaupliadError where that cannot be done; then all is as it was."""
        try:
            self._beside.replace(self._path)
        except OSError as error:
            self.drop()
            raise not_taken(self._path, error) from error
        _sync_folder(self._path)

    def drop(self) -> None:
        """Take it away again."""
        with suppress(OSError):
            self._beside.unlink()

    def _write(self, content: bytes, mode: int) -> None:
        with suppress(FileNotFoundError):
            self._beside.unlink()  # left by a kill; or a link, which is not written through
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW | os.O_CLOEXEC
        with os.fdopen(os.open(self._beside, flags, mode), "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())


def take_away(path: Path) -> None:
    """A file that was put there, and what a kill left beside it. Raises NaupliadError where it cannot be."""
    try:
        path.unlink(missing_ok=True)
        _beside(path).unlink(missing_ok=True)
    except OSError as error:
        raise not_taken(path, error) from error
    with suppress(NaupliadError):
        _sync_folder(path)


def _beside(path: Path) -> Path:
    return path.with_name(f".{path.name}.unfinished")


def _sync_folder(path: Path) -> None:
    try:
        folder = os.open(path.parent, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
    except OSError as error:
        raise NaupliadError(
            f"{path}: it was kept, but the disk may lose it at a power cut ({error.strerror})"
        ) from error
