"""A chart's clock: which moment stands where, in words, and what of it is still to come."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo

from reports import night
from reports.chart.hours import said_within
from reports.records import NightRecord

# A plot has so many columns, however wide it is shown: its paths are stretched, its words are not.
COLUMNS = 600
# The forecast of the water speaks of so long.
AHEAD = timedelta(hours=16)
# In a longer span what is ahead would be a sliver.
_MOST_WITH_AHEAD = timedelta(days=4)
_LEAST = timedelta(hours=1)

Stretch = tuple[datetime, datetime]


@dataclass(frozen=True, slots=True)
class PlotSpan:
    """What a chart spans. `began`, `ended`, `edge` and `off` are UTC; `zone` is the station's, `unit` "C" or
    "F". Up to `ended` something was read or believed; `edge` is later where what is to come is shown.
    `now` says whether `ended` is the present. `off` are the stretches in which the station was."""

    began: datetime
    ended: datetime
    edge: datetime
    zone: tzinfo
    unit: str
    off: tuple[Stretch, ...]
    now: bool

    def share(self, at: datetime) -> float:
        """Where a moment lies between the chart's edges, 0 to 1, by real seconds."""
        whole = (self.edge - self.began).total_seconds()
        return (night.moment_utc(at) - self.began).total_seconds() / whole

    def column(self, at: datetime) -> int:
        """The column a moment lies in."""
        return round(self.share(at) * COLUMNS)

    def said(self, at: datetime) -> str:
        """A moment in as few words as tell it from others."""
        return said_within(night.moment_utc(at), self.began, self.ended, self.zone)

    def cut(self, began: datetime, ended: datetime) -> Stretch | None:
        """A stretch cut to what was, in UTC; None where nothing of it lies there."""
        inside = max(night.moment_utc(began), self.began), min(night.moment_utc(ended), self.ended)
        return inside if inside[0] < inside[1] else None


def plot_span(record: NightRecord, *, now: bool) -> PlotSpan:
    """The record's; with 16 hours ahead where it ends now and is no longer than four days."""
    began, ended = night.moment_utc(record.span.began), night.moment_utc(record.span.ended)
    ended = max(ended, began + _LEAST)
    edge = ended + AHEAD if now and ended - began <= _MOST_WITH_AHEAD else ended
    zone = record.span.began.tzinfo or UTC
    span = PlotSpan(began, ended, edge, zone, record.unit, (), now)
    off = tuple(stretch for one in record.outages if (stretch := span.cut(one.began, one.ended)))
    return PlotSpan(began, ended, edge, zone, record.unit, off, now)
