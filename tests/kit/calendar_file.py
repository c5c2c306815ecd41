"""Reads a calendar's bytes strictly by RFC 5545: what other readers let pass is a fault here."""

import re

_NAME = re.compile(r"[A-Z-]+(;[A-Z-]+=[^:;,\"]+)*:")
_DUE_ONCE = ("UID", "DTSTAMP", "DTSTART", "SUMMARY", "SEQUENCE")


def lines_of(raw: bytes) -> list[str]:
    """Its lines, unfolded. Raises AssertionError for what section 3.1 or 3.6 forbids."""
    assert raw.endswith(b"\r\n")
    assert raw.count(b"\n") == raw.count(b"\r") == raw.count(b"\r\n")
    octets = raw.removesuffix(b"\r\n").split(b"\r\n")
    assert all(0 < len(line) <= 75 for line in octets)
    assert all(line.decode("utf-8") for line in octets)  # each by itself: no letter is split
    text = raw.removesuffix(b"\r\n").decode("utf-8")
    lines = text.replace("\r\n ", "").split("\r\n")
    assert all(_NAME.match(line) for line in lines), lines
    assert not re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", text)
    return lines


def events_of(raw: bytes) -> list[dict[str, str]]:
    """Each entry's properties by name with their parameters, texts read back; each is held to be whole."""
    events: list[dict[str, str]] = []
    for line in lines_of(raw):
        if line == "BEGIN:VEVENT":
            events.append({})
            alarm = ""
        elif line in ("BEGIN:VALARM", "END:VALARM"):  # its properties stand with the entry's
            alarm = "" if alarm else "VALARM-"
        elif events and not line.startswith("END:"):
            name, _, value = line.partition(":")
            name = alarm + name
            assert name not in events[-1], f"{name} stands twice"
            events[-1][name] = unescaped(value) if name in ("SUMMARY", "DESCRIPTION") else value
    for event in events:
        names = {name.partition(";")[0] for name in event}
        assert names.issuperset(_DUE_ONCE), event
        assert event["UID"] not in [other["UID"] for other in events if other is not event]
        began, ended = (
            next((value for name, value in event.items() if name.startswith(which)), None)
            for which in ("DTSTART", "DTEND")
        )
        assert ended is None or (began is not None and began < ended), event
    return events


def unescaped(value: str) -> str:
    """A text value's text, section 3.3.11; nothing that has to be escaped may stand in it bare."""
    assert not re.search(r"(?<!\\)(?:\\\\)*[;,]", value), value
    assert not re.search(r"(?<!\\)(?:\\\\)*\\[^\\;,nN]", value), value
    return re.sub(r"\\(.)", lambda found: "\n" if found[1] in "nN" else found[1], value)
