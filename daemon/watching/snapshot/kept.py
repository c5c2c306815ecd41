"""A snapshot in memory: parts of state as they were at a moment, each by its name."""

import logging
from collections.abc import Mapping
from dataclasses import dataclass

from daemon.watching.snapshot import file
from daemon.watching.snapshot.codec import Codec, Tree, Unkept

log = logging.getLogger(__name__)

TRUST, OLD_HATCHES = "trust", "old hatches"


@dataclass(frozen=True, slots=True)
class KeptPart:
    """A part of state and what in it is not its own (the station, its calendars), by name."""

    state: object
    given: Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Kept:
    """State as it was at `at` (Unix s): the file's lines by the names of its parts."""

    at: int
    lines: Mapping[str, bytes]

    def part(self, name: str, given: Mapping[str, object]) -> object | None:
        """A part of it; None where it was not kept, or cannot be read."""
        if name not in self.lines:
            return None
        try:
            return _codec(given).state(file.said(self.lines[name]))
        except Unkept as error:
            log.warning("%s: %s; computed anew", name, error)
            return None


def tree_of(part: KeptPart) -> Tree:
    """A part as a tree. Raises Unkept for state that is of no known class."""
    return _codec(part.given).tree(part.state)


def _codec(given: Mapping[str, object]) -> Codec:
    # All modules with state: a command that finds no snapshot has no need of half of them.
    from daemon.watching.snapshot.state_classes import MADE_ANEW, STATE_CLASSES

    return Codec(STATE_CLASSES, given, MADE_ANEW)


def of_vessel(vessel_id: str) -> str:
    """The name of the part that is a vessel's belief."""
    return f"vessel {vessel_id}"
