"""A letter as plain text, 72 columns wide."""

import re
import textwrap
from collections.abc import Sequence
from functools import cache

from reports import words
from reports.language import say, say_in, to_say
from reports.letters.blocks import Action, Block, Caution, Facts, Heading, Paragraph, Picture, Table
from reports.letters.text_table import set_out

DO, CARE = to_say("Do this:"), to_say("Take care:")
_COLUMNS = 72
_NO_BREAK = "\u00a0"
_UNITS = r"°[CF]|mL|%|g(?![a-z])|[MG]B|lux"


def plain_text(lead: str, blocks: Sequence[Block], signature: str) -> str:
    """The whole letter; a picture's words stand in it already, so plain text has no more of it."""
    parts = [wrapped(lead), *filter(None, map(_text_of, blocks)), wrapped(signature)]
    return "\n\n".join(parts) + "\n"


def glued(text: str) -> str:
    """The text on one line, numbers and their units held together."""
    return _before_units(
        say_in("stays on a line with the number before (regex)", "teaspoon|hour|minute|day|cup|g(?= of)")
    ).sub(_NO_BREAK, words.clean(text))


@cache
def _before_units(more: str) -> re.Pattern[str]:
    return re.compile(rf"(?:(?<=[\d¼½¾])|(?<=\d\.)) (?=(?:{_UNITS}|{more})(?![A-Z]))")


def wrapped(text: str, first: str = "", rest: str = "") -> str:
    """The text in lines; `first` stands before the first of them, `rest` before the others."""
    lines = textwrap.fill(
        glued(text), _COLUMNS, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
    return lines.replace(_NO_BREAK, " ")


def _text_of(block: Block) -> str:
    match block:
        case Paragraph(text):
            return wrapped(text)
        case Heading(text):
            return f"{wrapped(text)}\n{'-' * min(len(words.clean(text)), _COLUMNS)}"
        case Facts(title, lines):
            head = [wrapped(title)] if title else []
            return "\n".join(head + [wrapped(line, "- ", "  ") for line in lines])
        case Table(head, rows):
            return "\n".join(set_out([words.clean(one) for one in head], _cleaned(rows), _COLUMNS))
        case Action(text):
            return wrapped(f"{say(DO)} {words.begun(text)}")
        case Caution(text):
            return wrapped(f"{say(CARE)} {words.begun(text)}")
        case Picture():
            return ""


def _cleaned(rows: Sequence[Sequence[str]]) -> list[list[str]]:
    return [[words.clean(cell) for cell in row] for row in rows]
