"""The report as plain lines, for the road to the child that draws it on paper."""

from collections.abc import Iterator, Sequence

from reports.batch.account import BatchReport
from reports.language import say, spoken
from reports.letters.blocks import Action, Block, Caution, Facts, Heading, Paragraph, Picture, Table
from reports.letters.plain import CARE, DO

# What a line is set as, and its cells: one, but for the rows of a table.
Line = tuple[str, tuple[str, ...]]
TITLE, PART, HEADING, SUBHEADING, TEXT, FACT, CARE_LINE, HEAD, ROW, PICTURE, FOOT = (
    *("title", "part", "heading", "subheading", "text", "fact", "care"),
    *("head", "row", "picture", "foot"),
)


def lines_of(report: BatchReport) -> list[Line]:
    """Every line in its order; a picture is named."""
    with spoken(report.language):
        inside = [line for block in report.blocks for line in _lines(block, report.parts)]
    return [(TITLE, (report.lead,)), *inside, (FOOT, (report.signature,))]


def _lines(block: Block, parts: Sequence[str]) -> Iterator[Line]:
    match block:
        case Paragraph(text):
            yield TEXT, (text,)
        case Heading(text):
            yield (PART if text in parts else HEADING), (text,)
        case Facts(title, facts):
            if title:
                yield SUBHEADING, (title,)
            yield from ((FACT, (fact,)) for fact in facts)
        case Table(head, rows):
            yield from _table(head, rows)
        case Caution(text):
            yield CARE_LINE, (f"{say(CARE)} {text}",)
        case Action(text):
            yield CARE_LINE, (f"{say(DO)} {text}",)
        case Picture(cid):
            yield PICTURE, (cid,)


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[Line]:
    yield HEAD, tuple(head)
    yield from ((ROW, tuple(row)) for row in rows)
