"""The nights there are, as the page lists them, and the letters of each, read from the store."""

from collections.abc import Iterator
from datetime import date, timedelta

from daemon.alarms.lifecycle import State
from daemon.letters.night_record import night_ends, night_of
from daemon.page.glance import Glance
from daemon.store import alarms as alarm_store
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.store.letters import LetterRow
from reports.page.letters import LetterEntry
from reports.page.nights import NightEntry

_DAY = timedelta(days=1)


def nights_there(glance: Glance) -> tuple[date, date] | None:
    """The first and the last night with a reading; None where nothing was read yet."""
    oldest, newest = reading_store.oldest_at(glance.connection), glance.newest_at
    if oldest is None or newest is None:
        return None
    return night_of(glance.station, oldest), night_of(glance.station, newest)


def night_span(glance: Glance, night: date) -> tuple[int, int]:
    """When a night begins and ends, Unix seconds; what is of its begin belongs to the one before."""
    return night_ends(glance.station, night - _DAY), night_ends(glance.station, night)


def entries(glance: Glance, last: date, first: date) -> list[NightEntry]:
    """The nights from `last` back to `first`, the newest first."""
    began, ended = night_span(glance, first)[0], night_span(glance, last)[1]
    nightly = {
        night_of(glance.station, row.at): row
        for row in letter_store.between(glance.connection, began, ended)
        if row.kind == "nightly"
    }
    raised = [
        (row.at, row.condition)
        for row in alarm_store.between(glance.connection, began, ended)
        if row.state == State.UNACKNOWLEDGED.value
    ]
    return [_entry(glance, night, nightly.get(night), raised) for night in _back(last, first)]


def _entry(
    glance: Glance, night: date, letter: LetterRow | None, raised: list[tuple[int, str]]
) -> NightEntry:
    began, ended = night_span(glance, night)
    read_at = reading_store.oldest_since(glance.connection, began + 1)
    written = letter is not None and letter.written_at is not None
    return NightEntry(
        night=night,
        subject=letter.subject if letter is not None and written else None,
        alarms=tuple(dict.fromkeys(condition for at, condition in raised if began < at <= ended)),
        read=read_at is not None and read_at <= ended,
        over=glance.at >= ended,
    )


def _back(last: date, first: date) -> Iterator[date]:
    night = last
    while night >= first:
        yield night
        night -= _DAY


def letters_of(glance: Glance, night: date) -> list[LetterEntry]:
    """The letters that were begun in a night, the oldest first."""
    began, ended = night_span(glance, night)
    return [letter_entry(glance, row) for row in letter_store.between(glance.connection, began, ended)]


def letter_entry(glance: Glance, row: LetterRow) -> LetterEntry:
    """A letter as the page names it."""
    return LetterEntry(
        id=row.id,
        number=row.number,
        kind=row.kind,
        subject=row.subject if row.written_at is not None else None,
        state=row.state,
        at=glance.local(row.written_at or row.at),
        due_at=glance.local(row.due_at) if row.state in ("held", "queued") else None,
        sent_at=None if row.sent_at is None else glance.local(row.sent_at),
        told_in=row.merged_into,
    )
