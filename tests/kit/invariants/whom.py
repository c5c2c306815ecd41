"""J. To whom: what only somebody in the room can mend is not said to who cannot be there."""

from collections.abc import Iterator

from daemon.letter_kinds import LETTER_KINDS
from tests.kit.invariants.budget import could_act
from tests.kit.invariants.finding import Finding, of
from tests.kit.invariants.record import Record

HOUR_S = 3600


def nobody_is_asked_who_cannot_come(record: Record) -> Iterator[Finding]:
    """In every language: but what was asked for at any hour, or waited for the post."""
    for letter in record.letters:
        kind = LETTER_KINDS[letter.kind]
        asked = letter.kind in record.station.post.urgent
        if not kind.waits_for_somebody or asked or letter.sent_at - letter.written_at > HOUR_S // 2:
            continue
        arrival = record.calendar.next_arrival(letter.sent_at)
        comes = None if arrival is None else record.local(arrival)
        # A letter that waits goes on the morning of the very day.
        if comes and comes.date() != record.local(letter.sent_at).date() and not could_act(record, letter):
            yield of(record, letter, letter.subject, f"somebody comes only at {comes:%a %d %b %H:%M}")
