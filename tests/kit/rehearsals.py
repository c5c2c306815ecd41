"""Shipped stories played by `naupliad rehearse`, charts and all, each by a process of its own."""

from pathlib import Path

from tests.kit.command_line import begin, ended
from tests.kit.played import Played

# A play beside those of the stories: one of them once more, said as JSON.
AGAIN, TWICE = "again", "plain-weekend"
# No argument is the default story, and the folder it takes itself is the one that is looked into.
_WORDS: dict[str, tuple[str, ...]] = {"long-weekend": (), AGAIN: (TWICE, "--out", AGAIN, "--json")}


def rehearse(name: str, folder: Path) -> Played:
    """Rehearse a story, in a folder where nothing is yet."""
    said = ended(begin("rehearse", *_WORDS.get(name, (name,)), folder=folder))
    return Played(folder / (AGAIN if name == AGAIN else f"rehearsal-{name}"), said)
