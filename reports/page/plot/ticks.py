"""The hours and days that a chart names below it: fewer where it is narrow, more where there is room.

Which of the two stands there the style sheet decides, by the width of the window: each label that is for
one of them only says so.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from reports import times
from reports.chart.hours import local_hours, midnights
from reports.page.plot.span import PlotSpan

# How wide the plot is at least, in CSS px: on a phone of 320 px, and from where plot.css changes on.
NARROW_PX, WIDE_PX = 230.0, 600.0
_HOUR_STEPS = (1, 2, 3, 4, 6, 12)
_HOUR_PX, _DATE_PX, _WEEKDAY_PX = 44.0, 78.0, 34.0
# A letter of 12 px is some 6.5 px wide in most fonts: common practice, no source.
LETTER_PX = 6.6
_WEEKDAY_TELLS = timedelta(days=7)
_BOTH, _NARROW_ONLY, _WIDE_ONLY = "", "n", "w"


@dataclass(frozen=True, slots=True)
class Tick:
    """A label below the plot at a share of its width; `only` is "n" or "w" where it is for one width only."""

    share: float
    label: str
    only: str = ""


@dataclass(frozen=True, slots=True)
class PlotClock:
    """What is named below a chart: hours, none where there is no room for any, and days."""

    hours: tuple[Tick, ...]
    days: tuple[Tick, ...]


def plot_clock(span: PlotSpan) -> PlotClock:
    """A span's hours and days by the local clock."""
    return PlotClock(hour_ticks(span), day_ticks(span))


def hour_ticks(span: PlotSpan) -> tuple[Tick, ...]:
    """The hours by the local clock; none where there is no room for any."""
    return _by_width(lambda wide_px: _hours(span, wide_px))


def day_ticks(span: PlotSpan) -> tuple[Tick, ...]:
    """The days, each at its midnight, the first at the left edge where it has room there."""
    return _by_width(lambda wide_px: _days(span, wide_px))


def _by_width(named: Callable[[float], Sequence[tuple[float, str]]]) -> tuple[Tick, ...]:
    narrow, wide = named(NARROW_PX), named(WIDE_PX)
    both = set(narrow) & set(wide)
    return (
        *(Tick(share, label, _BOTH if (share, label) in both else _NARROW_ONLY) for share, label in narrow),
        *(Tick(share, label, _WIDE_ONLY) for share, label in wide if (share, label) not in both),
    )


def _hours(span: PlotSpan, wide_px: float) -> list[tuple[float, str]]:
    hours = local_hours(span.began, span.edge, span.zone)
    step = next((step for step in _HOUR_STEPS if len(hours) / step * _HOUR_PX <= wide_px), None)
    if step is None:
        return []
    half = LETTER_PX * 5 / 2 / wide_px
    return [
        (span.share(at), times.clock(at.astimezone(span.zone)))
        for at in hours
        if at.astimezone(span.zone).hour % step == 0 and half <= span.share(at) <= 1.0 - half
    ]


def _days(span: PlotSpan, wide_px: float) -> list[tuple[float, str]]:
    """By date where there is room for it, by name in a week, else every so many days by date."""
    days = midnights(span.began, span.edge, span.zone)
    day_px = wide_px / max((span.edge - span.began) / timedelta(days=1), 1e-6)
    named: Callable[[datetime], str] = times.short_day
    apart = 1
    if day_px < _DATE_PX:
        by_name = span.edge - span.began <= _WEEKDAY_TELLS and day_px >= _WEEKDAY_PX
        named = times.short_weekday if by_name else times.short_day
        apart = 1 if by_name else math.ceil(_DATE_PX / day_px)
    starts = [(span.share(at), named(at.astimezone(span.zone))) for at in days[::apart]]
    first = named(span.began.astimezone(span.zone))
    if not starts or (starts[0][0] * wide_px >= _wide_px(first) and apart == 1):
        starts.insert(0, (0.0, first))
    return [(share, label) for share, label in starts if share * wide_px + _wide_px(label) <= wide_px]


def _wide_px(label: str) -> float:
    return len(label) * LETTER_PX + 8.0
