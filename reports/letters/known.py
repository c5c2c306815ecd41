"""What is known of vessels or probes, like ones told of together: a list for one group, else a table."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from reports import words
from reports.language import say
from reports.letters.blocks import Block, Facts, Table

_NUMBERED = re.compile(r"(.*?)(\d{1,6})")
_NOTHING = "–"
# More stand side by side neither on a phone nor in 72 columns.
_MOST_COLUMNS = 5


@dataclass(frozen=True, slots=True)
class Fact:
    """Something known: what it is, how it stands, and how it stands in a table's cell.

    Without a `cell` it has no column, and is told only where one group of alike vessels is told of; without
    a `value` it stands in tables only. `head` is its column's, where that is not the label. What is `spare`
    is left out where a letter grows too long, the higher figures first.
    """

    label: str
    value: str | None
    cell: str | None = None
    head: str | None = None
    spare: int = 0


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of one vessel or probe; `about` is its name (with its cups)."""

    about: str
    facts: tuple[Fact, ...]


def fact(label: str, value: str) -> Fact:
    """A fact that stands in a cell as it does in a line."""
    return Fact(label, value, value)


def known(ones: Sequence[Known], first: str) -> list[Block]:
    """Facts of the one group, or a table with a row for each group of those of which the same is known.

    `first` heads the table's first column, as "Vessel".
    """
    if len({one.facts for one in ones}) == 1:
        spare = sorted((one for one in ones[0].facts if one.spare), key=lambda one: -one.spare)
        return [Facts(listed([one.about for one in ones]), fact_lines(ones[0].facts), fact_lines(spare))]
    heads = _heads([f for one in ones for f in one.facts if f.cell is not None])
    groups: dict[tuple[str, ...], list[str]] = {}
    for one in ones:
        groups.setdefault(_cells(one, heads), []).append(one.about)
    rows = tuple((listed(names), *cells) for cells, names in groups.items())
    return [Table((first, *heads), rows)] if rows else []


def _heads(facts: Sequence[Fact]) -> list[str]:
    """The columns' heads, in order; where they are too many, spare ones fall out, then the last."""
    heads = list(dict.fromkeys(f.head or f.label for f in facts))
    spare = {f.head or f.label: f.spare for f in facts}
    kept = sorted(heads, key=lambda head: (spare[head], heads.index(head)))[:_MOST_COLUMNS]
    return [head for head in heads if head in kept]


def line_of(one: Fact) -> str:
    """The fact in a line: "Limit: 18.0 °C."."""
    return say("{label}: {value}.", label=one.label, value=one.value)


def fact_lines(facts: Iterable[Fact]) -> tuple[str, ...]:
    """The facts as lines of a list."""
    return tuple(line_of(one) for one in facts if one.value is not None)


def _cells(one: Known, heads: Iterable[str]) -> tuple[str, ...]:
    """The cells under these heads; what two facts put in one column stands one after the other."""
    columns: dict[str, list[str]] = {}
    for f in one.facts:
        if f.cell is not None:
            columns.setdefault(f.head or f.label, []).append(f.cell)
    return tuple("; ".join(columns.get(head, [_NOTHING])) for head in heads)


def listed(names: Sequence[str]) -> str:
    """ "cup-1 to cup-6 and jar": names that count on are drawn together from three on."""
    parts: list[str] = []
    run: list[str] = []
    for one in [*map(words.clean, names), ""]:
        if run and not _follows(run[-1], one):
            parts += _drawn_together(run)
            run = []
        run.append(one)
    return words.joined(parts)


def _follows(before: str, after: str) -> bool:
    one, other = _NUMBERED.fullmatch(before), _NUMBERED.fullmatch(after)
    return bool(one and other and one[1] == other[1] and int(other[2]) == int(one[2]) + 1)


def _drawn_together(run: Sequence[str]) -> list[str]:
    if len(run) < 3:
        return list(run)
    return [say("{first} to {last}", first=run[0], last=run[-1])]
