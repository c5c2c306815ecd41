"""Letters as files: where a station has no post, and where time is played."""

import os
from pathlib import Path

from daemon.post.carrier import Outgoing, Unreachable


class FolderCarrier:
    """Puts every letter into `letters/NNNN-KIND.eml` under a folder, whole or not at all."""

    def __init__(self, folder: Path) -> None:
        """`folder` is where `letters` stands; both are made when the first letter comes."""
        self._letters = folder / "letters"

    def carry(self, letter: Outgoing) -> None:
        """Write the letter; on return it survives a power cut. Raises Unreachable when that fails."""
        place = self._letters / f"{letter.number:04d}-{letter.kind}.eml"
        try:
            self._letters.mkdir(parents=True, exist_ok=True)
            _write_whole(place, letter.message)
        except OSError as error:
            raise Unreachable(f"{place}: the letter cannot be written: {error.strerror}") from error

    def reach(self) -> None:
        """See whether the folder is there or can be made. Raises Unreachable."""
        try:
            self._letters.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise Unreachable(f"{self._letters}: cannot be made: {error.strerror}") from error


def _write_whole(place: Path, message: bytes) -> None:
    part = place.with_name(f".{place.name}.part")
    with part.open("wb") as file:
        file.write(message)
        file.flush()
        os.fsync(file.fileno())
    part.replace(place)
    folder = os.open(place.parent, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(folder)  # the name, too, has to be on the card
    finally:
        os.close(folder)
