"""What was measured over a span, in words: extremes of the water, the lamp's hours, how bright light is."""

from datetime import datetime, timedelta
from typing import Protocol

from reports import amounts, night, times
from reports.language import say, to_say
from reports.records import Span, VesselNight

_LIT, _DARK, _UNSEEN = to_say("{length} lit"), to_say("{length} dark"), to_say("{length} not seen")
# What a child has seen of each. Corridors are lit with 100 lx (EN 12464-1:2021, from memory); the others are
# common practice, no source.
BRIGHTNESS = {
    0.0: to_say("dark"),
    100.0: to_say("dim"),
    1000.0: to_say("bright"),
    10000.0: to_say("sunny"),
}
_ENDS_NEAR = timedelta(minutes=30)


class SaidSpan(Protocol):
    """A span (UTC) with the unit of its temperatures and words for its moments."""

    @property
    def began(self) -> datetime:
        """Its begin."""

    @property
    def ended(self) -> datetime:
        """Its end."""

    @property
    def unit(self) -> str:
        """ "C" or "F"."""

    def said(self, at: datetime) -> str:
        """A moment in few words."""


def marked(vessel: VesselNight, span: SaidSpan) -> list[tuple[str, str, str, datetime, float]]:
    """The coldest, the warmest and the last reading: sign, marker, name, moment and value."""
    seen = night.extremes(vessel.water_c)
    if seen is None:
        return []
    kinds = (
        ("▼", "v", say("coldest"), seen.coldest),
        ("▲", "^", say("warmest"), seen.warmest),
        ("●", "o", say("last"), seen.latest),
    )
    return [
        (sign, marker, name, night.moment_utc(point.at), amounts.in_unit(point.value or 0.0, span.unit))
        for sign, marker, name, point in kinds
    ]


def extremes_said(vessel: VesselNight, span: SaidSpan) -> tuple[str, ...]:
    """The same in words, a piece each."""
    return tuple(
        f"{sign} {name} {amounts.number(value, 1)}{_when(at, span, marker)}"
        for sign, marker, name, at, value in marked(vessel, span)
    )


def _when(at: datetime, span: SaidSpan, marker: str) -> str:
    """In brackets when it was; nothing for the last where that is the picture's end."""
    at_the_end = marker == "o" and abs(span.ended - at) <= _ENDS_NEAR
    return "" if at_the_end else f" ({span.said(at)})"


def lamp_bars(vessel: VesselNight, span: SaidSpan) -> list[tuple[datetime, datetime]]:
    """The lamp's hours inside the span."""
    ends = ((night.moment_utc(lamp.began), night.moment_utc(lamp.ended)) for lamp in vessel.lamp_hours)
    cut = ((max(began, span.began), min(ended, span.ended)) for began, ended in ends)
    return [(began, ended) for began, ended in cut if began < ended]


def lamp_seen_said(vessel: VesselNight, span: SaidSpan) -> str:
    """How long the lamp was seen lit, dark and not at all in its hours."""
    seen = night.lamp_seen(vessel, Span(span.began, span.ended))
    parts = ((seen.lit, _LIT), (seen.dark, _DARK), (seen.unseen, _UNSEEN))
    return ", ".join(
        say(sentence, length=times.short_length(length))
        for length, sentence in parts
        if length >= timedelta(minutes=1)
    )
