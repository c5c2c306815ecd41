"""What a vessel is called where it is looked into or moved: cup, jar or cone; of a tray its cups."""

from collections.abc import Sequence
from typing import Protocol

from reports.language import say_in
from reports.letters.sentences import Named

KINDS = ("cup", "jar", "cone")


class OfKind(Named, Protocol):
    """Anything that is about one vessel of a kind, or a tray of like ones."""

    @property
    def vessel_kind(self) -> str:
        """One of `KINDS`."""


def look_into(vessels: Sequence[OfKind]) -> str:
    """Into what to look: "one of the cups" of a tray, "the jar", "each vessel" where they differ."""
    match _alike(vessels):
        case "cup":
            return say_in("look into", "the cup")
        case "jar":
            return say_in("look into", "the jar")
        case "cone":
            return say_in("look into", "the cone")
        case "tray":
            return say_in("look into", "one of the cups")
    return say_in("look into", "each vessel")


def them(vessels: Sequence[OfKind]) -> str:
    """What to move or to shade: "the cups" of a tray, "the jar", "the vessels" where they differ."""
    match _alike(vessels):
        case "cup":
            return say_in("move", "the cup")
        case "jar":
            return say_in("move", "the jar")
        case "cone":
            return say_in("move", "the cone")
        case "tray":
            return say_in("move", "the cups")
    return say_in("move", "the vessels")


def _alike(vessels: Sequence[OfKind]) -> str | None:
    """What all of these are; None where they differ, or are several jars or cones."""
    cups = all(one.vessel_kind == "cup" for one in vessels)
    if sum(one.count for one in vessels) > 1:
        return "tray" if cups else None
    return vessels[0].vessel_kind
