"""naupliad backup: a dated, checked copy of the store."""

import json
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from daemon.cli.options import json_option, state_option
from daemon.errors import InputError, NaupliadError
from daemon.store.backup import BACKUPS, Backup, back_up, copy_to


@click.command()
@state_option
@click.option(
    "--to",
    type=click.Path(path_type=Path),
    show_default=f"{BACKUPS} in the state folder",
    help="The folder for backups.",
)
@click.option(
    "--also",
    type=click.Path(path_type=Path),
    envvar="NAUPLIAD_BACKUP_ALSO",
    help="A folder on another disk that gets a copy while that disk is there.",
)
@json_option
def backup(state: Path, to: Path | None, also: Path | None, as_json: bool) -> None:
    """Copy the station's records, check the copy, and remove backups that are too many.

    The daemon may go on meanwhile.
    """
    made = back_up(state, to or state / BACKUPS, datetime.fromtimestamp(time.time(), UTC).date())
    copy, trouble = _also(made, also, state)
    if as_json:
        fields = {"made": _as_json(made), "copy": copy and _as_json(copy)}
        click.echo(json.dumps(fields, indent=1, ensure_ascii=False))
    else:
        for one in (made, copy):
            if one is not None:
                click.echo(_line(one))
        if also is not None and copy is None and trouble is None:
            click.echo(f"{also}: no other disk is there; no copy")
    if trouble is not None:
        raise NaupliadError(str(trouble))


def _also(made: Backup, also: Path | None, state: Path) -> tuple[Backup | None, NaupliadError | None]:
    if also is None or not _is_another_disk(also, state):
        return None, None
    try:
        return copy_to(made.path, also), None
    except InputError as error:
        return None, NaupliadError(str(error))  # the backup itself was made: trouble, not wrong use
    except NaupliadError as error:
        return None, error


def _is_another_disk(folder: Path, state: Path) -> bool:
    """Where a stick is not plugged in, its folder is an empty one on the Pi's own card."""
    try:
        return folder.is_dir() and folder.stat().st_dev != state.stat().st_dev
    except OSError:
        return False


def _line(one: Backup) -> str:
    removed = f"; {len(one.removed)} older removed" if one.removed else ""
    return f"{one.path}: {one.bytes / 1e6:.1f} MB, checked{removed}"


def _as_json(one: Backup) -> dict[str, Any]:
    return {"path": str(one.path), "bytes": one.bytes, "removed": [str(path) for path in one.removed]}
