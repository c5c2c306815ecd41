"""A folder made whole beside its place and then put there: what is broken off leaves nothing half-written."""

import shutil
import threading
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from daemon.errors import InputError, NaupliadError

# Where it is made in a folder that stands already; left behind only by a kill or a power cut.
_UNFINISHED = ".unfinished"


def check_folder(out: Path, what: str, written: Collection[str], *, replace: bool) -> None:
    """Raise InputError unless `out` can take it: new, empty, or an earlier one (`what`) to be replaced.

    `written` are the names of all that an earlier one may hold; what else lies there is somebody's own.
    """
    if out.exists() and not out.is_dir():
        raise InputError(f"{out}: found a file; allowed: a folder")
    try:
        inside = {path.name for path in out.iterdir()} - {_UNFINISHED} if out.is_dir() else set()
    except OSError as error:
        raise InputError(unwritable(out, error)) from error
    strangers = sorted(inside.difference(written))
    if strangers:
        raise InputError(
            f"{out}: found {strangers[0]!r}, which no earlier {what} wrote; allowed: a new or empty folder"
        )
    if inside and not replace:
        raise InputError(f"{out}: found an earlier {what}; allowed: another folder, or --replace")
    check_writable(out)


def check_writable(place: Path) -> None:
    """Raise InputError unless something can be made at `place`, a file or a folder, by this user."""
    above = next(path for path in place.absolute().parents if path.exists())
    above = place.absolute() if place.is_dir() else above
    probe = above / f".naupliad-{threading.get_native_id()}"
    try:
        probe.mkdir()
        probe.rmdir()
    except OSError as error:
        raise InputError(unwritable(place, error)) from error


def unwritable(place: Path, error: OSError) -> str:
    """The line for a place that took nothing."""
    return f"{place}: found {error.strerror}; allowed: a folder this user can write to"


def not_taken(place: Path, error: OSError) -> NaupliadError:
    """The fault of a disk that did not take all of it."""
    return NaupliadError(
        f"{place}: found {error.strerror}; allowed: a disk that takes it. Nothing was written there"
    )


@contextmanager
def made_beside(out: Path, written: Collection[str], stays: Collection[str] = ()) -> Iterator[Path]:
    """A new folder in which `out` is made; put in its place at the end, or gone where that is not reached.

    Into a folder that stands all is moved piece by piece, for it stays itself: it may be somebody's working
    folder, or a mount that cannot move. What of `written` stood there goes, but for what of it `stays`.
    """
    stands = out.is_dir()
    unfinished = out / _UNFINISHED if stands else out.parent / f".{out.name}{_UNFINISHED}"
    shutil.rmtree(unfinished, ignore_errors=True)
    unfinished.mkdir(parents=True)
    try:
        yield unfinished
        if stands:
            _put_in_place(unfinished, out, set(written).difference(stays), stays)
        else:
            unfinished.rename(out)
    finally:
        shutil.rmtree(unfinished, ignore_errors=True)


def check_file(path: Path, *, replace: bool) -> None:
    """Raise InputError unless a file can be made at `path`: none stands there, or it is to be replaced."""
    if path.is_dir():
        raise InputError(f"{path}: found a folder; allowed: the path of a file")
    if path.exists() and not replace:
        raise InputError(f"{path}: found a file; allowed: another path, or --replace")
    check_writable(path)


@contextmanager
def file_made_beside(path: Path) -> Iterator[IO[bytes]]:
    """A file to write what is put in the place of `path` at the end, or gone where that is not reached."""
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(f".{path.name}{_UNFINISHED}")
    try:
        with unfinished.open("wb") as file:
            yield file
        unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)


def _put_in_place(made: Path, out: Path, goes: Collection[str], stays: Collection[str]) -> None:
    for path in (out / name for name in goes):
        if path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)
    for path in sorted(made.iterdir()):
        if path.name not in stays or not (out / path.name).exists():
            path.rename(out / path.name)
