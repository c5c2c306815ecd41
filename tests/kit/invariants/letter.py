"""A letter as it was sent, taken apart: lead, action, and facts under a vessel's name."""

import email
import email.policy
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from tests.kit.invariants import phrases
from tests.kit.text_table import table_in


@dataclass(frozen=True, slots=True)
class Block:
    """A paragraph, or facts with what they are about as their title."""

    title: str
    lines: tuple[str, ...]
    text: str


@dataclass(frozen=True)
class Letter:
    """Times are Unix seconds; `about` are vessels or probes, as the store has them."""

    number: int
    kind: str
    subject: str
    written_at: int
    sent_at: int
    about: tuple[str, ...]
    text: str

    @cached_property
    def blocks(self) -> tuple[Block, ...]:
        """Its parts, in order."""
        chunks = (chunk.splitlines() for chunk in self.text.strip().split("\n\n") if chunk.strip())
        return tuple(block for chunk in chunks for block in _blocks(chunk))

    @property
    def lead(self) -> str:
        """The first paragraph."""
        return self.blocks[0].text if self.blocks else ""

    @property
    def actions(self) -> list[str]:
        """What it asks for, without "Do this:"."""
        found = (phrases.DO_THIS.pattern.match(block.text) for block in self.blocks)
        return [match.string[match.end() :].strip() for match in found if match]

    @property
    def action(self) -> str:
        """The first of them."""
        return self.actions[0] if self.actions else ""

    @property
    def flat(self) -> str:
        """Subject and text on one line, as phrases are looked for; tables row by row, cells after heads."""
        parts = (" ".join([block.title, *block.lines, block.text]) for block in self.blocks)
        return " ".join(f"{self.subject}. {' '.join(parts)}".split())

    def facts(self, vessel: str) -> list[str]:
        """The lines under a vessel's name, and its rows of tables as lines, from all of its blocks."""
        return [line for block in self.blocks if is_about(block, vessel) for line in block.lines]

    def title(self, vessel: str) -> str:
        """The title that a vessel's facts stand under; empty where it has none."""
        return next((block.title for block in self.blocks if is_about(block, vessel)), "")

    def lines(self) -> list[str]:
        """Every line of facts, whatever it stands under."""
        return [line for block in self.blocks for line in block.lines]


def text_of(message: bytes) -> str:
    """The plain words of a message as it went out (RFC 5322)."""
    parsed = email.message_from_bytes(message, policy=email.policy.default)
    part = parsed.get_body(("plain",))
    return "" if part is None else str(part.get_content()).replace("\r\n", "\n")


def is_about(block: Block, vessel: str) -> bool:
    """Whether a title names the vessel: alone, or among others ("cup-1 to cup-6 and jar")."""
    named = _PART.split(re.sub(r" \(\d+ cups\)", "", block.title))
    return any(_names(part.strip(), vessel) for part in named)


_PART = re.compile(r", | and ")


def _names(part: str, vessel: str) -> bool:
    run = re.fullmatch(r"(.*?)(\d+) to \1(\d+)", part)
    if run is None:
        return part == vessel
    number = re.fullmatch(rf"{re.escape(run[1])}(\d+)", vessel)
    return number is not None and int(run[2]) <= int(number[1]) <= int(run[3])


def _blocks(lines: Sequence[str]) -> list[Block]:
    """A part as a block; a table as one for each row, each cell a line under its column's head."""
    table = table_in(lines)
    if table is None:
        return [_block(lines)]
    head, *rows = table
    return [
        Block(row[0], tuple(f"{label}: {cell}." for label, cell in zip(head[1:], row[1:], strict=True)), "")
        for row in rows
    ]


def _block(lines: Sequence[str]) -> Block:
    title: list[str] = []
    facts: list[str] = []
    for line in lines:
        if line.startswith("- "):
            facts.append(line[2:])
        elif facts:
            facts[-1] += f" {line.strip()}"
        elif not re.fullmatch(r"-+", line):
            title.append(line.strip())
    text = " ".join(title)
    return Block(text if facts else "", tuple(facts), "" if facts else text)
