"""The station file as it is found: its text, what is wrong with it, and whether it can be kept anew."""

import hashlib
import os
from dataclasses import dataclass
from pathlib import Path

from daemon.config import parse_station
from daemon.errors import InputError
from daemon.input.file import as_text, read_bytes


@dataclass(frozen=True, slots=True)
class StationFileFound:
    """One look at a station file. `path` is where it truly stands, behind all links.

    `raw` is None where nothing is there or nothing can be read; `text` also where it is no text. `unread`
    says why, "" where there is no file. `faults` are the lines that keep it from being followed.
    """

    path: Path
    raw: bytes | None
    text: str | None
    unread: str
    faults: tuple[str, ...]

    @property
    def digest(self) -> str:
        """Tells this content from any other; "" where there is none."""
        return "" if self.raw is None else hashlib.sha256(self.raw).hexdigest()


def find_file(config: Path) -> StationFileFound:
    """The station file that is told as `config`, read and judged; the answer says what is wrong with it."""
    raw = text = None
    try:
        path = config.resolve()
    except (OSError, RuntimeError, ValueError) as error:  # links in a ring
        line = f"{config}: found a link that leads nowhere ({error}); allowed: the path of a file"
        return StationFileFound(config, None, None, line, (line,))
    try:
        raw = read_bytes(config)
        text = as_text(raw, config)
        parse_station(text, str(config))
    except InputError as refused:
        unread = "" if text is not None or not os.path.lexists(path) else refused.faults[0]
        return StationFileFound(path, raw, text, unread, refused.faults)
    return StationFileFound(path, raw, text, "", ())


def why_not_kept(found: StationFileFound, config: Path, state: Path) -> str:
    """Why no file can be kept in this one's place, in one line that says what to do; "" where one can.

    What cannot be read as text is not replaced: nobody could say what was lost with it.
    """
    if found.unread:
        return found.unread
    folder = found.path.parent
    if os.access(folder, os.W_OK | os.X_OK):
        return ""
    if not folder.is_dir():
        return f"{folder}: found no such folder; allowed: to make it, or to correct the link {config}"
    ours = state.resolve() / "station.toml"
    if folder == ours.parent:
        return f"{folder}: found a folder the daemon cannot write to; allowed: a disk that takes writes"
    move = f"sudo mv {found.path} {ours}; " if found.raw is not None else ""
    return (
        f"{folder}: found a folder the daemon cannot write to; allowed: to edit {found.path} by hand, or to"
        f" give it to the daemon once: {move}sudo ln -sfn {ours} {config}; sudo chown naupliad: {ours}"
    )
