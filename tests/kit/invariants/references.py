"""K. "The letter about X" was sent, and since X began."""

from collections.abc import Iterator

from tests.kit.invariants import phrases
from tests.kit.invariants.finding import Finding, of
from tests.kit.invariants.record import ACTIVE, KIND_OF, Record
from tests.kit.invariants.rows import AlarmRow


def the_letter_about_it_was_sent(record: Record) -> Iterator[Finding]:
    """For every alarm that stands at a letter that points to "the letter about each trouble"."""
    for letter in record.letters if record.english else ():
        if not any(phrases.LETTER_ABOUT.pattern.search(action) for action in letter.actions):
            continue
        for row in record.standing(letter.written_at).values():
            if row.state not in ACTIVE or not row.vessel:
                continue
            raised = record.raised(row.key, letter.written_at)
            if raised is not None and not _said(record, raised, letter.written_at):
                name = " ".join(part for part in (row.condition, "of", row.vessel, row.probe) if part)
                yield of(record, letter, "the letter about each trouble", f"none was sent about {name}")


def _said(record: Record, raised: AlarmRow, at: int) -> bool:
    """Whether a letter of its kind about its vessel or probe went since it began, or another spoke of it."""
    began, kind = min(raised.since or raised.at, raised.at), KIND_OF[raised.condition]
    names = {raised.vessel, raised.probe} - {""}
    return any(
        one.kind == kind and began <= one.at <= at and (names & {*one.about} or not one.about)
        for one in (*record.written, *record.said_in)
    )
