"""H. A letter that is announced for a moment comes then."""

from collections.abc import Iterator
from datetime import datetime

from tests.kit.invariants import phrases
from tests.kit.invariants.finding import Finding, of
from tests.kit.invariants.record import Record
from tests.kit.invariants.wording import minute, minutes_apart, shown

_WITHIN_MIN = 25


def what_is_announced_comes(record: Record) -> Iterator[Finding]:
    """Within 25 minutes, unless the station was off or somebody had asked for silence."""
    written_at = [shown(record.local(one.at)) for one in record.written]
    for letter in record.letters if record.english else ():
        announced = phrases.NEXT_LETTER.pattern.search(letter.flat)
        if announced is None:
            continue
        due = minute(announced[1], record.local(letter.written_at))
        condition = phrases.IF_A_BATCH_RUNS.pattern.match(letter.flat, announced.end())
        if _excused(record, due) or (condition is not None and not _runs(record, due)):
            continue
        if not any(-1 <= minutes_apart(at, due) <= _WITHIN_MIN for at in written_at):
            yield of(record, letter, announced[0], "no letter came then")


def _excused(record: Record, due: str) -> bool:
    """Whether the history ended before, the station was off, or it was to be silent."""
    if minutes_apart(shown(record.local(record.ended)), due) < _WITHIN_MIN:
        return True
    around = [(shown(record.local(began)), shown(record.local(ended))) for began, ended in record.outages]
    if any(minutes_apart(due, b) > -_WITHIN_MIN and minutes_apart(e, due) > -_WITHIN_MIN for b, e in around):
        return True
    return any(
        shown(record.local(began))
        <= due
        <= shown(record.local(min(until or record.ended, lifted or record.ended)))
        for began, until, lifted in record.quiets
    )


def _runs(record: Record, due: str) -> bool:
    """Whether a batch runs at a local minute."""
    at = round(datetime.fromisoformat(due).replace(tzinfo=record.station.timezone).timestamp())
    return any(record.set_at(vessel.id, at) is not None for vessel in record.station.vessels)
