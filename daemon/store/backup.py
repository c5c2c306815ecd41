"""Copies of the store that can be trusted: made beside the running daemon, checked, dated, and not too many.

A copy is one file without a log (SQLite's VACUUM INTO). It gets its name only once its integrity was
checked and it is on the disk: whatever is called `station-YYYY-MM-DD.db` was whole when it was made.
"""

import fcntl
import os
import re
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from daemon.errors import InputError, NaupliadError
from daemon.store.file import FILE_NAME, open_for_reading
from daemon.store.file_check import look_through

KEPT_DAYS, KEPT_WEEKS, KEPT_MONTHS = 7, 4, 12
# The daemon needs room to write; a copy never takes the last of it.
LEFT_FREE_BYTES = 200 * 10**6

BACKUPS = "backups"  # the folder of a station's own backups, under its state folder

_NAME = re.compile(r"station-(\d{4}-\d{2}-\d{2})\.db")
_UNFINISHED = ".unfinished-backup.db"

FreeBytes = Callable[[Path], int]


class NoRoom(NaupliadError):
    """There is not room enough for a copy; nothing was written."""


class BadCopy(NaupliadError):
    """What was written is not whole, and was removed again."""


@dataclass(frozen=True, slots=True)
class Backup:
    """A copy that was made: the file, its size, and older ones that were removed for it."""

    path: Path
    bytes: int
    removed: tuple[Path, ...]


def free_bytes(folder: Path) -> int:
    """The room left for others than root on the disk of a folder."""
    found = os.statvfs(folder)
    return found.f_bavail * found.f_frsize


def back_up(state: Path, folder: Path, day: date, free: FreeBytes = free_bytes) -> Backup:
    """Copy the store in `state` into `folder`, made when it is not there, as the backup of a day.

    Raises InputError where there is no store or no such folder can be made, NoRoom, BadCopy, and StoreBroken
    or NaupliadError where the store cannot be read.
    """
    with closing(open_for_reading(state)) as connection, _alone_in(folder):
        _check_room(folder, _store_bytes(state), free)
        return _finish(folder, day, lambda path: connection.execute("VACUUM INTO ?", (str(path),)))


def copy_to(backup: Path, folder: Path, free: FreeBytes = free_bytes) -> Backup:
    """Put a backup that was made into another folder too. Raises as `back_up` does."""
    from shutil import copyfile  # with all its packers: 1 MB that a daemon would carry for years

    with _alone_in(folder):
        _check_room(folder, backup.stat().st_size, free)
        return _finish(folder, _days([backup])[0], lambda path: copyfile(backup, path))


def newest_good(folder: Path) -> Path | None:
    """The newest backup in a folder that is whole; None where there is none."""
    found = sorted(_files(folder), reverse=True)
    return next((path for path in found if fault_of(path) is None), None)


def newest_day(folder: Path) -> date | None:
    """The day of the newest backup in a folder, by its name; None where there is none, or no way in."""
    try:
        return max(_days(_files(folder)), default=None)
    except OSError:
        return None


def backups_in(folder: Path) -> list[Path]:
    """The backups in a folder, the oldest first."""
    return _files(folder)


def rewrite(
    folder: Path, change: Callable[[sqlite3.Connection], object], wanted: Callable[[Path], bool]
) -> None:
    """Have the wanted backups of a folder changed alike, and nothing of what they were stays in the files.

    Under a backup's name there is the old one or the new one, whole. One that is damaged stays as it is.
    Raises as `back_up` does.
    """
    with _alone_in(folder):
        for path in filter(wanted, _files(folder)):
            if fault_of(path) is None:
                _rewritten(folder, path, change)


def _rewritten(folder: Path, path: Path, change: Callable[[sqlite3.Connection], object]) -> None:
    unfinished = folder / _UNFINISHED
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?immutable=1", uri=True)) as old:
            old.execute("VACUUM INTO ?", (str(unfinished),))
        with closing(sqlite3.connect(unfinished, isolation_level=None)) as new:
            new.execute("PRAGMA journal_mode = OFF")  # it is a draft: what is broken off is begun anew
            new.execute("PRAGMA secure_delete = ON")
            change(new)
            new.execute("VACUUM")
        if (fault := _put(unfinished, path)) is not None:
            raise BadCopy(f"{path}: found a rewritten copy that is not whole ({fault}); it stays as it was")
    except sqlite3.Error as error:
        raise NaupliadError(f"{path}: not rewritten: {error}; it stays as it was") from error
    finally:
        with suppress(OSError):
            unfinished.unlink(missing_ok=True)


def fault_of(path: Path) -> str | None:
    """What is wrong with a backup, in SQLite's words; None where it is whole and a station's store.

    Spoiled rows are no fault of it: they are set aside when it is taken up.
    """
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?immutable=1", uri=True)) as connection:
            connection.execute("SELECT at FROM station_file LIMIT 1")
            return look_through(connection).broken
    except sqlite3.DatabaseError as error:
        return str(error)


def kept(days: Iterable[date]) -> set[date]:
    """Which of these days' backups stay: the newest seven, and the newest of four weeks and twelve months.

    Weeks and months are those that have a backup, ISO 8601 weeks; a station that was off loses none.
    """
    newest_first = sorted(set(days), reverse=True)
    weeks: dict[tuple[int, int], date] = {}
    months: dict[tuple[int, int], date] = {}
    for day in newest_first:
        weeks.setdefault(day.isocalendar()[:2], day)
        months.setdefault((day.year, day.month), day)
    return {
        *newest_first[:KEPT_DAYS],
        *list(weeks.values())[:KEPT_WEEKS],
        *list(months.values())[:KEPT_MONTHS],
    }


@contextmanager
def _alone_in(folder: Path) -> Iterator[None]:
    """Make the folder where it is not there, and let no other copy be made in it meanwhile."""
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o750)
        descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    except OSError as error:
        raise InputError(f"{folder}: found {error.strerror}; allowed: a folder to write to") from error
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        for broken_off in folder.glob(f"{_UNFINISHED}*"):  # by a power cut
            broken_off.unlink()
        yield
    except BlockingIOError as error:
        raise NaupliadError(f"{folder}: found another backup being made; allowed: one at a time") from error
    except OSError as error:
        raise NaupliadError(f"{folder}: no copy was made: {error}") from error
    finally:
        os.close(descriptor)


def _store_bytes(state: Path) -> int:
    """At most this much a copy needs: the file, and what its log holds."""
    log = state / f"{FILE_NAME}-wal"
    return (state / FILE_NAME).stat().st_size + (log.stat().st_size if log.exists() else 0)


def _check_room(folder: Path, needed: int, free: FreeBytes) -> None:
    left = free(folder) - needed
    if left < LEFT_FREE_BYTES:
        raise NoRoom(
            f"{folder}: found {free(folder) / 1e6:.0f} MB free; allowed: {needed / 1e6:.0f} MB for the copy "
            f"and {LEFT_FREE_BYTES / 1e6:.0f} MB that stay free; no copy was made"
        )


def _finish(folder: Path, day: date, write: Callable[[Path], object]) -> Backup:
    unfinished, path = folder / _UNFINISHED, folder / f"station-{day.isoformat()}.db"
    try:
        write(unfinished)
        if (fault := _put(unfinished, path)) is not None:
            raise BadCopy(f"{path}: found a copy that is not whole ({fault}); it was removed")
    except sqlite3.Error as error:
        raise NaupliadError(f"{folder}: no copy was made: {error}") from error
    finally:
        with suppress(OSError):
            unfinished.unlink(missing_ok=True)
    return Backup(path, path.stat().st_size, _rotate(folder))


def _put(unfinished: Path, path: Path) -> str | None:
    """Have a copy stand under its name for good; what is wrong with it, where it is not whole."""
    with suppress(PermissionError):  # FAT knows no modes
        unfinished.chmod(0o640)
    sync(unfinished)
    if (fault := fault_of(unfinished)) is None:
        unfinished.replace(path)
        sync(path.parent)
    return fault


def sync(path: Path) -> None:
    """Wait until a file or folder is on the disk. Raises OSError."""
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _rotate(folder: Path) -> tuple[Path, ...]:
    files = _files(folder)
    stay = kept(_days(files))
    gone = tuple(path for path, day in zip(files, _days(files), strict=True) if day not in stay)
    for path in gone:
        path.unlink()
    return gone


def _files(folder: Path) -> list[Path]:
    return sorted(path for path in folder.glob("station-*.db") if _day_of(path) is not None)


def _days(files: Iterable[Path]) -> list[date]:
    return [day for day in map(_day_of, files) if day is not None]


def _day_of(path: Path) -> date | None:
    found = _NAME.fullmatch(path.name)
    with suppress(ValueError):
        return date.fromisoformat(found[1]) if found else None
    return None
