"""A calendar's bytes, held to RFC 5545 by hand and read back by another program.

The `icalendar` package takes what the standard forbids, so the bytes are looked at first.
"""

import re
from datetime import UTC, date, datetime

from hypothesis import example, given
from hypothesis import strategies as st

from daemon.export.ical import CalendarEntry, calendar_bytes, escaped, folded
from tests.kit.calendar_file import lines_of, unescaped

TEXTS = st.text(alphabet="\\;,:\n\r\tnN\"'äß🦐 a", max_size=200) | st.text(max_size=200)
AT = 1_800_000_000


def entry(title: str, text: str = "") -> CalendarEntry:
    return CalendarEntry("an-entry", AT, AT + 3600, title, text, AT - 60, 7)


@given(TEXTS)
@example("\\n is no end of a line;\r\nthis, is")
def test_an_escaped_text_reads_back_and_only_line_ends_and_controls_are_made_alike(text: str) -> None:
    cell = escaped(text)
    assert not re.search("[\x00-\x08\x0a-\x1f\x7f]", cell)
    alike = text.replace("\r\n", "\n").replace("\r", "\n")
    assert unescaped(cell) == re.sub("[\x00-\x08\x0b-\x1f\x7f]", "", alike)


@given(TEXTS.map(escaped))
@example("ä" * 100)
@example("x" * 74 + "🦐")
def test_a_folded_line_has_at_most_75_octets_and_no_letter_is_split(line: str) -> None:
    pieces = folded(line).encode().split(b"\r\n")
    assert all(len(piece) <= 75 for piece in pieces)
    assert all(piece.startswith(b" ") for piece in pieces[1:])
    # Each is UTF-8 by itself, so none ends within a letter.
    assert pieces[0].decode() + "".join(piece.decode()[1:] for piece in pieces[1:]) == line
    assert len(pieces) <= 1 + len(line.encode()) // 71  # no shorter than it has to be


@given(TEXTS, TEXTS)
def test_another_program_reads_the_texts_that_were_written(title: str, text: str) -> None:
    from icalendar import Calendar

    raw = calendar_bytes("Room 7, the wet one", [entry(title, text)])
    lines_of(raw)
    (event,) = Calendar.from_ical(raw).walk("VEVENT")
    assert unescaped(escaped(title)) == str(event["SUMMARY"])
    assert unescaped(escaped(text)) == str(event["DESCRIPTION"])


def test_an_entry_has_what_the_standard_asks_for_in_utc() -> None:
    # RFC 5545, sections 3.6.1 (UID and DTSTAMP), 3.3.5 (form 2: UTC), 3.6 (VERSION and PRODID).
    lines = lines_of(calendar_bytes("Room 7", [entry("Half hatched")]))
    assert lines[:3] == ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Naupliad//Export//EN"]
    began = datetime.fromtimestamp(AT, UTC)
    assert f"DTSTART:{began:%Y%m%dT%H%M%SZ}" in lines
    assert {"UID:an-entry", "SEQUENCE:7", "SUMMARY:Half hatched", "TRANSP:TRANSPARENT"} <= set(lines)
    assert lines[-2:] == ["END:VEVENT", "END:VCALENDAR"]


def test_whole_days_end_before_the_day_after_the_last() -> None:
    # RFC 5545, section 3.6.1: DTEND is not within.
    days = CalendarEntry("days", date(2027, 2, 15), date(2027, 2, 20), "Away", "", AT)
    lines = lines_of(calendar_bytes("Room 7", [days]))
    assert {"DTSTART;VALUE=DATE:20270215", "DTEND;VALUE=DATE:20270220"} <= set(lines)


def test_what_has_no_length_has_no_end() -> None:
    lines = lines_of(calendar_bytes("Room 7", [CalendarEntry("letter", AT, None, "Letter", "", AT)]))
    assert not [line for line in lines if line.startswith("DTEND")]
