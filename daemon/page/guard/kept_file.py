"""Small JSON files in the page's own folder, for its own eyes (mode 600), written whole or not at all."""

import json
import os
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import Any

_MOST_BYTES = 2**20


def keep(path: Path, content: Any) -> None:
    """Put what JSON can say in the file's place; it belongs to whom the folder belongs.

    Raises OSError where the disk takes nothing, or the folder is another's.
    """
    # A new file of a new name: whoever owns the folder cannot lead root's hand elsewhere by a link.
    handle, beside = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            folder = path.parent.stat()
            if os.geteuid() == 0:
                os.fchown(file.fileno(), folder.st_uid, folder.st_gid)
            json.dump(content, file)
            file.flush()
            os.fsync(file.fileno())
        Path(beside).replace(path)
    except BaseException:
        with suppress(OSError):
            Path(beside).unlink()
        raise


def kept(path: Path) -> Any:
    """What was kept; None where there is nothing, or nothing that can be read."""
    try:
        with path.open("rb") as file:
            return json.loads(file.read(_MOST_BYTES))
    except (OSError, ValueError, RecursionError):
        return None
