"""M. One action, which the reader can do when the letter comes, and lines that the command takes."""

import re
from collections.abc import Iterator

from daemon.care.deed import KINDS
from daemon.care.log import deed_from_fields
from daemon.errors import InputError
from tests.kit.invariants import phrases
from tests.kit.invariants.finding import Finding, of
from tests.kit.invariants.record import Record

_BROKEN = re.compile(r"\bnan\b|\bNone\b|\binf\b|[{}]|about (?:about|between|more|less than)|  \w|−0\.0\b")


def a_letter_asks_for_one_thing(record: Record) -> Iterator[Finding]:
    """Exactly one action stands in each letter but the digest and the sample."""
    for letter in record.letters if record.english else ():
        if letter.kind not in ("digest", "sample") and len(letter.actions) != 1:
            yield of(record, letter, f"“Do this” {len(letter.actions)} times", "a letter asks for one thing")


def it_can_be_done_when_it_is_read(record: Record) -> Iterator[Finding]:
    """Who is not in the room is asked for later."""
    for letter in record.letters if record.english else ():
        there = record.calendar.span_at(letter.written_at) is not None
        for action in letter.actions:
            later = re.match(
                rf"(?:when you (?:are|can)|nothing|before you go|{phrases.MOMENT}|on \w+day|if )", action
            )
            if not there and later is None:
                yield of(record, letter, action[:80], "nobody is in the room")


def care_lines_are_taken(record: Record) -> Iterator[Finding]:
    """A line to copy is one that `naupliad care add` takes."""
    for letter in record.letters if record.english else ():
        for vessel, deed, amount, detail in phrases.CARE_LINE.pattern.findall(" ".join(letter.lines())):
            try:
                deed_from_fields(
                    letter.written_at,
                    vessel,
                    deed,
                    amount,
                    KINDS[deed].unit if deed in KINDS else "",
                    detail,
                    record.station,
                )
            except InputError as error:
                yield of(record, letter, f"naupliad care add {vessel} {deed} {amount}", str(error))


def no_words_are_broken(record: Record) -> Iterator[Finding]:
    """No "about more than 99 %", and nothing that a program forgot."""
    for letter in record.letters:
        lines = (letter.subject, letter.lead, *letter.actions, *letter.lines())
        found = next((line for line in lines if _BROKEN.search(line)), None)
        if found is not None:
            yield of(record, letter, found[:100], "that is no sentence")
