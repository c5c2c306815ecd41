"""Cups that are lost: a result says which, for levels may lose cups for what they do to them."""

from collections.abc import Mapping, Sequence

from reports.language import say, say_many, to_say
from reports.words import clean, joined

# By what the store has.
WHY: Mapping[str, str] = {
    "broken": to_say("broken"),
    "spilled": to_say("spilled"),
    "dry": to_say("dried up"),
    "mixed-up": to_say("mixed up"),
    "moved": to_say("moved"),
}


def lost_words(lost: Sequence[tuple[str, str, str | None]]) -> list[str]:
    """Cups that are lost, each with its level and why, in a line; nothing where none is."""
    return [say("Lost cups: {cups}.", cups=joined([_one(*cup) for cup in lost]))] if lost else []


def gone_words(levels: Sequence[str]) -> list[str]:
    """Levels of which no cup is left, in a line; nothing where all have one."""
    if not levels:
        return []
    return [
        say_many(
            "All cups of the level {levels} are lost: these counts tell nothing of it.",
            "All cups of the levels {levels} are lost: these counts tell nothing of them.",
            len(levels),
            levels=joined([clean(level) for level in levels]),
        )
    ]


def uncounted_words(cups: Sequence[tuple[str, str]]) -> list[str]:
    """Cups that are not counted yet, each a level and a cup, in a line that goes before all else; nothing
    where all are."""
    if not cups:
        return []
    return [
        say_many(
            "Not all is counted yet; {cups} is missing. What follows may change.",
            "Not all is counted yet; {cups} are missing. What follows may change.",
            len(cups),
            cups=joined([_one(cup, level, None) for level, cup in cups]),
        )
    ]


def _one(cup: str, level: str, why: str | None) -> str:
    named = {"cup": clean(cup), "level": clean(level)}
    if why is None or why not in WHY:
        return say("{cup} at {level}", **named)
    return say("{cup} at {level} ({why})", **named, why=say(WHY[why]))
