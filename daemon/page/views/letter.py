"""Any letter as it was sent, and the chart that went with it."""

from flask import Response
from markupsafe import Markup
from werkzeug.exceptions import NotFound

from daemon.letters.night_record import night_of
from daemon.page import night_list
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.store import letters as letter_store
from daemon.store.letters import LetterRow
from reports.page import letters as letter_lines

_MOST_DIGITS = 18  # what SQLite takes for a whole number has one more


def letter(glance: Glance, letter_id: str) -> str:
    """A letter as it was sent. Raises NotFound where there is none of that id."""
    row = _letter(glance, letter_id)
    entry = night_list.letter_entry(glance, row)
    body = Markup() if row.written_at is None else _body(glance, row)
    return show(
        glance,
        "letter.html",
        "nights",
        letter_lines.letter_title(glance.setting, entry),
        fault="",
        facts=letter_lines.letter_facts(glance.setting, entry),
        told_in=entry.told_in,
        letter=body,
        gone=row.written_at is not None and not body,
        night=_night_of(glance, row.at),
    )


def _body(glance: Glance, row: LetterRow) -> Markup:
    # Only where a letter is read: what reads one takes 1.3 MiB.
    from daemon.post.message import picture_of, words_of
    from reports.page.letter_words import letter_words

    message = letter_store.kept_message(glance.connection, row.id)
    if message is None:
        return Markup()
    said = words_of(message)
    return letter_words(said.html, said.text, f"/letter/{row.id}/chart.png" if picture_of(message) else "")


def letter_chart(glance: Glance, letter_id: str) -> Response:
    """The chart that went with a letter. Raises NotFound where none did."""
    row = _letter(glance, letter_id)
    png = None
    if row.written_at is not None:
        from daemon.post.message import picture_of  # as above

        message = letter_store.kept_message(glance.connection, row.id)
        png = None if message is None else picture_of(message)
    if png is None:
        raise NotFound
    return Response(png, mimetype="image/png")


def _letter(glance: Glance, letter_id: str) -> LetterRow:
    written = letter_id.isascii() and letter_id.isdigit() and len(letter_id) <= _MOST_DIGITS
    row = letter_store.find(glance.connection, int(letter_id)) if written else None
    if row is None:
        raise NotFound
    return row


def _night_of(glance: Glance, at: int) -> str | None:
    """The night of a moment, where there is one to show."""
    there, night = night_list.nights_there(glance), night_of(glance.station, at)
    return night.isoformat() if there is not None and there[0] <= night <= there[1] else None
