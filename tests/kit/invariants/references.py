"""K. What a night asks for helps against an alarm that stands."""

from collections.abc import Iterator

from tests.kit.invariants import phrases
from tests.kit.invariants.finding import Finding, of
from tests.kit.invariants.letter import Block, is_about
from tests.kit.invariants.record import ACTIVE, Record


def the_night_asks_against_what_stands(record: Record) -> Iterator[Finding]:
    """Of a vessel that a nightly letter sends somebody to, by the sentence that says what helps."""
    for letter in record.letters if record.english else ():
        first = phrases.LOOK_FIRST.pattern.search(letter.action) if letter.kind == "nightly" else None
        if first is None:
            continue
        there = Block(first[1], (), "")
        standing = {
            row.condition
            for row in record.standing(letter.written_at).values()
            if row.state in ACTIVE and row.vessel and is_about(there, row.vessel)
        }
        for condition, phrase in phrases.REMEDIES.items():
            if phrase.pattern.search(_asked(letter.action)) and condition not in standing:
                stand = ", ".join(sorted(standing)) or "nothing"
                yield of(record, letter, letter.action[:90], f"{stand} stands there, and no {condition}")


def _asked(action: str) -> str:
    """What is asked for whatever is found; what helps "if it still is" so is not."""
    return action.partition("If it still is")[0]
