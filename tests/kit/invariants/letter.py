"""A letter as it was sent, taken apart: lead, action, and facts under a vessel's name."""

import email
import email.policy
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from tests.kit.invariants import phrases


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
        return tuple(_block(chunk.splitlines()) for chunk in self.text.strip().split("\n\n") if chunk.strip())

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
        """Subject and text on one line, as phrases are looked for."""
        return " ".join(f"{self.subject}. {self.text}".split())

    def facts(self, vessel: str) -> list[str]:
        """The lines under a vessel's name, from all of its blocks."""
        title = re.compile(rf"{re.escape(vessel)}(?: \(\d+ cups\))?(?:,.*)?")
        return [line for block in self.blocks if title.fullmatch(block.title) for line in block.lines]

    def title(self, vessel: str) -> str:
        """The title that a vessel's facts stand under; empty where it has none."""
        title = re.compile(rf"{re.escape(vessel)}(?: \(\d+ cups\))?(?:,.*)?")
        return next((block.title for block in self.blocks if title.fullmatch(block.title)), "")

    def lines(self) -> list[str]:
        """Every line of facts, whatever it stands under."""
        return [line for block in self.blocks for line in block.lines]


def text_of(message: bytes) -> str:
    """The plain words of a message as it went out (RFC 5322)."""
    parsed = email.message_from_bytes(message, policy=email.policy.default)
    part = parsed.get_body(("plain",))
    return "" if part is None else str(part.get_content()).replace("\r\n", "\n")


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
