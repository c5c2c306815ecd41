"""A calendar as bytes: iCalendar, RFC 5545, with what RFC 7986 adds for feeds [M].

Lines end with CR LF and have at most 75 octets; a longer one is folded between two letters.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime

MEDIA_TYPE = "text/calendar; charset=utf-8"
_PRODUCT = "-//Naupliad//Export//EN"
_MOST_OCTETS = 75
REMINDED_S = 1800  # before what a planned start hangs on [P]
# Controls but the tab, which no text may hold (RFC 5545, section 3.1); what ends a line is written otherwise.
_CONTROLS = re.compile("[\x00-\x08\x0b-\x1f\x7f]")


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """An entry. Moments are Unix seconds, or dates for whole days, of which the last is not meant any more.

    `uid` is the same whenever it is written anew; `revised_at` is when what it says was last found, Unix s,
    and `sequence` never falls while it is revised. `ended` is None for what has no length. `busy` says that
    somebody has something to do then. So many seconds `alarm_s` before it begins somebody is reminded.
    """

    uid: str
    began: int | date
    ended: int | date | None
    title: str
    text: str
    revised_at: int
    sequence: int = 0
    busy: bool = False
    alarm_s: int | None = None


def calendar_bytes(name: str, entries: Sequence[CalendarEntry], refresh_h: int = 1) -> bytes:
    """A calendar of that name; who subscribes to it is asked to look again after so many hours."""
    head = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:{_PRODUCT}",
        f"NAME:{escaped(name)}",
        f"X-WR-CALNAME:{escaped(name)}",
        f"REFRESH-INTERVAL;VALUE=DURATION:PT{refresh_h}H",
    ]
    lines = [*head, *(line for entry in entries for line in _lines(entry)), "END:VCALENDAR"]
    return "".join(f"{folded(line)}\r\n" for line in lines).encode()


def _lines(entry: CalendarEntry) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{escaped(entry.uid)}"
    yield f"DTSTAMP:{_utc(entry.revised_at)}"
    yield f"SEQUENCE:{entry.sequence}"
    yield f"DTSTART{_when(entry.began)}"
    if entry.ended is not None:
        yield f"DTEND{_when(entry.ended)}"
    yield f"SUMMARY:{escaped(entry.title)}"
    yield f"DESCRIPTION:{escaped(entry.text)}"
    yield f"TRANSP:{'OPAQUE' if entry.busy else 'TRANSPARENT'}"
    if entry.alarm_s is not None:  # RFC 5545, section 3.6.6
        yield "BEGIN:VALARM"
        yield "ACTION:DISPLAY"
        yield f"DESCRIPTION:{escaped(entry.title)}"
        yield f"TRIGGER:-PT{entry.alarm_s // 60}M"
        yield "END:VALARM"
    yield "END:VEVENT"


def _when(at: int | date) -> str:
    return f";VALUE=DATE:{at.strftime('%Y%m%d')}" if isinstance(at, date) else f":{_utc(at)}"


def _utc(at: int) -> str:
    return datetime.fromtimestamp(at, UTC).strftime("%Y%m%dT%H%M%SZ")


def escaped(text: str) -> str:
    """A text value: RFC 5545, section 3.3.11, marks backslash, semicolon, comma and the end of a line."""
    one_end = text.replace("\r\n", "\n").replace("\r", "\n")
    marked = re.sub(r"([\\;,])", r"\\\1", one_end).replace("\n", "\\n")
    # Half a letter, which no UTF-8 holds, is shown as one that is not known.
    return _CONTROLS.sub("", marked).encode(errors="replace").decode()


def folded(line: str) -> str:
    """A line in pieces of at most 75 octets, each but the first behind CR LF and a blank that counts too."""
    pieces, piece, room = [], "", _MOST_OCTETS
    for letter in line:
        octets = len(letter.encode())
        if octets > room:
            pieces.append(piece)
            piece, room = "", _MOST_OCTETS - 1
        piece += letter
        room -= octets
    return "\r\n ".join([*pieces, piece])
