"""The end of a class on the page: its steps, and the report of a batch as a card."""

from collections.abc import Iterator

from reports.batch.account import BatchReport
from reports.language import in_its_language, say
from reports.letters.blocks import Block, Caution, Facts, Heading, Paragraph, Table
from reports.planning.card import PlanCard, PlanPart, PlanTable, parts_with_words
from reports.records import Setting


@in_its_language
def title(_setting: Setting) -> str:
    """Of the steps."""
    return say("End of a class")


@in_its_language
def report_name(_setting: Setting, vessel: str) -> str:
    """Of the way to a vessel's report."""
    return say("The report of {vessel}", vessel=vessel)


@in_its_language
def end_name(_setting: Setting, vessel: str) -> str:
    """Of the way to note that a vessel's batch is over."""
    return say("Note the end in {vessel}", vessel=vessel)


def card_of(report: BatchReport) -> PlanCard:
    """The report in parts, without its pictures: those are drawn by the page."""
    return PlanCard(report.lead, parts_with_words(tuple(_parts(report.blocks))))


def _parts(blocks: tuple[Block, ...]) -> Iterator[PlanPart]:
    """A part a heading; of each its table and its lines."""
    heading, table, lines = "", None, list[str]()
    for block in blocks:
        match block:
            case Heading(text) | Facts(text) if text:
                yield PlanPart(heading, tuple(lines), table)
                heading, table, lines = text, None, []
        match block:
            case Facts(_, facts):
                lines += facts
            case Table(head, rows):
                table = PlanTable(head, rows)
            case Paragraph(text) | Caution(text):
                lines.append(text)
    yield PlanPart(heading, tuple(lines), table)
