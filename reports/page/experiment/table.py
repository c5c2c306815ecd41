"""Counts from a table: what is asked, what is said of it, and what will be kept."""

import re
from collections.abc import Mapping, Sequence

from reports.amounts import in_decimals, in_unit, number
from reports.language import ENGLISH, say, say_many, spoken
from reports.page.experiment.counting import CountShown, count_line
from reports.page.field import Field
from reports.words import joined

_MORE = re.compile(r"and ([0-9]+) more")
_LINE = re.compile(r"[^:]*:([0-9]+): (?:(\w+): )?(found .+)", re.DOTALL)


def title(language: str) -> str:
    """Of the view."""
    with spoken(language):
        return say("Counts from a table")


def field(language: str) -> Field:
    """Which file."""
    with spoken(language):
        return Field(
            "table", say("The table (CSV)"), say("Up to 64 kB. It is looked over before it is kept.")
        )


def wrong(language: str, why: str) -> str:
    """Above a table that cannot be taken: `no-file` or `faults`."""
    with spoken(language):
        if why == "no-file":
            return say("Choose a file first. Nothing was noted.")
        return say("Nothing of this table was noted. Put it in order, then send it once more.")


def held(language: str) -> str:
    """A table that came before the PIN was given."""
    with spoken(language):
        return say("Nothing was noted yet: look it over, then keep it.")


def summary(language: str, counts: int, uncounted: Sequence[str]) -> str:
    """How much is in it, and which cups have no number, there or in the records."""
    with spoken(language):
        has = say_many("The table has {count} count.", "The table has {count} counts.", counts)
        left = say("Without a number: {codes}.", codes=joined(uncounted)) if uncounted else ""
        return " ".join(one for one in (has, left, say("Nothing is kept yet.")) if one)


def changes(language: str, stand: Sequence[CountShown]) -> str:
    """Counts that stand otherwise; empty where none does."""
    if not stand:
        return ""
    with spoken(language):
        lines = joined([count_line(language, one) for one in stand])
        return say("Other numbers stand for some of these cups: {counts}.", counts=lines)


def heads(language: str, *, with_hours: bool, with_water: bool, with_changes: bool) -> list[str]:
    """Of the columns."""
    with spoken(language):
        return [
            *(say("Cup"), say("Hatched"), say("Cysts in it")),
            *([say("Hours")] if with_hours else []),
            *([say("Water")] if with_water else []),
            *([say("Stood before")] if with_changes else []),
        ]


def rows(
    counts: Sequence[CountShown],
    stand: Mapping[str, CountShown],
    water: Sequence[str],
    *,
    with_hours: bool,
) -> list[tuple[str, ...]]:
    """What will be kept, a row a count; `stand` has by its cup and hours what stands otherwise, `water` how
    warm the water of each was, empty where that is said of none."""
    return [
        (
            *(one.code, str(one.hatched), str(one.cysts)),
            *([in_decimals(one.hours)] if with_hours else []),
            *([water[place]] if water else []),
            *([_stood(stand.get(f"{one.code} {one.hours}"))] if stand else []),
        )
        for place, one in enumerate(counts)
    ]


def _stood(one: CountShown | None) -> str:
    return "" if one is None else f"{one.hatched}/{one.cysts}"


def water(language: str, water_c: float | None, unit: str) -> str:
    """How warm a cup's water was, in the set unit; empty where nobody said."""
    with spoken(language):
        return "" if water_c is None else f"{number(in_unit(water_c, unit), 1)} °{unit}"


def noted(language: str, counts: int) -> str:
    """What is said once they are kept."""
    with spoken(language):
        return say_many("Noted: {count} count.", "Noted: {count} counts.", counts)


def fault(language: str, line: str, in_words: str | None) -> str:
    """A line of the command's checks; in another language than English with its place told in words.

    `in_words` is what was found and is allowed in that language, None where the line has no such parts.
    """
    match, more = _LINE.fullmatch(line), _MORE.fullmatch(line)
    if language != ENGLISH and more is not None:
        with spoken(language):
            return say("and {count} more", count=more[1])
    if language == ENGLISH or in_words is None:
        return line
    with spoken(language):
        if match is None:
            return in_words
        if match[2]:
            return say("Line {line}, {column}: {fault}", line=match[1], column=match[2], fault=in_words)
        return say("Line {line}: {fault}", line=match[1], fault=in_words)


def found_in(line: str) -> str | None:
    """What of a line begins with what was found; None where nothing does."""
    match = _LINE.fullmatch(line)
    if match is not None:
        return match[3]
    at = line.find("found ")
    return line[at:] if at >= 0 and "; allowed" in line else None
