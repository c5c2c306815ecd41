"""What all panels of a chart share: the clock below, the gaps, the words where nothing is known."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo

from matplotlib.axes import Axes
from matplotlib.ticker import FixedFormatter, FixedLocator

from reports import amounts, night, times
from reports.chart.hours import local_hours, midnights, said_within
from reports.chart.palette import HATCHING, HOURS, INK, MIDNIGHT, QUIET, UNREAD
from reports.chart.type import SMALL_SIZE, WIDTH_PX, wide_px
from reports.language import say
from reports.records import NightRecord

MARGIN_PX = 16
LEFT_PX = 84
RIGHT_PX = 20
PLOT_PX = WIDTH_PX - LEFT_PX - RIGHT_PX
# The hours under a panel, with the day below them.
HOURS_PX = 66

_HOUR_STEPS = (1, 2, 3, 4, 6, 12)
_TICK_SPACE_PX = 82
# A word in a gap takes this much of the plot beside its own length, and this much standing.
_BESIDE_PX = 12
_STANDING_PX = 28
_WEEKDAY_TELLS = timedelta(days=7)
_DAY_SPACE_PX, _DATE_SPACE_PX = 50, 130
# So far words under the plot may reach past its right edge.
_EDGE_PX = 16
# Up to so many midnights are drawn strongly.
_FEW_DAYS = 8
_NOON = 12

Stretch = tuple[datetime, datetime]


@dataclass(frozen=True, slots=True)
class Frame:
    """The chart's clock and scales. `began`, `ended` and `off` are UTC; `zone` is the station's."""

    began: datetime
    ended: datetime
    zone: tzinfo
    unit: str
    water_limits: tuple[float, float]
    off: tuple[Stretch, ...]
    plot_px: float = PLOT_PX

    def share(self, at: datetime) -> float:
        """Where a moment lies between the chart's edges, 0 to 1."""
        whole = (self.ended - self.began).total_seconds()
        return (night.moment_utc(at) - self.began).total_seconds() / whole

    def said(self, at: datetime) -> str:
        """A moment in as few words as tell it from others: "14:30", "Sat 14:30", "Sat 16 Jan 14:30"."""
        return said_within(night.moment_utc(at), self.began, self.ended, self.zone)


def frame_of(record: NightRecord, plot_px: float = PLOT_PX) -> Frame:
    """The record's clock and the water scale that all its vessels share."""
    began, ended = night.moment_utc(record.span.began), night.moment_utc(record.span.ended)
    ended = max(ended, began + timedelta(hours=1))
    off = [(night.moment_utc(span.began), night.moment_utc(span.ended)) for span in record.outages]
    inside = tuple((max(a, began), min(b, ended)) for a, b in off if a < ended and b > began)
    zone = record.span.began.tzinfo or UTC
    return Frame(began, ended, zone, record.unit, _water_limits(record), inside, plot_px)


def _water_limits(record: NightRecord) -> tuple[float, float]:
    seen = [value for vessel in record.vessels for _, value in night.good(vessel.water_c)]
    bands = [limit for vessel in record.vessels for limit in (vessel.cold_c, vessel.hot_c)]
    low, high = min(seen + bands, default=15.0) - 2.2, max(seen + bands, default=30.0) + 2.2
    return amounts.in_unit(low, record.unit), amounts.in_unit(high, record.unit)


def numbers(times: Iterable[datetime]) -> list[float]:
    """Moments as the axis counts them: Unix seconds, so that no change of the clocks bends the line."""
    return [at.timestamp() for at in times]


def set_clock(axes: Axes, frame: Frame, *, labelled: bool) -> None:
    """The hours as ticks, the midnights as lines; with their labels where asked."""
    axes.set_xlim(*numbers((frame.began, frame.ended)))
    ticks = _ticks(frame)
    axes.xaxis.set_major_locator(FixedLocator(numbers(at for at, _ in ticks)))
    axes.xaxis.set_major_formatter(FixedFormatter([label if labelled else "" for _, label in ticks]))
    axes.tick_params(axis="x", length=5, color=QUIET, labelcolor=INK, labelsize=SMALL_SIZE)
    axes.grid(visible=True, axis="x", color=HOURS, linewidth=0.8, zorder=0)
    days = midnights(frame.began, frame.ended, frame.zone)
    few = len(days) <= _FEW_DAYS
    for at in days:
        axes.axvline(
            numbers([at])[0], color=MIDNIGHT if few else HOURS, linewidth=1.2 if few else 0.8, zorder=1
        )


def _ticks(frame: Frame) -> list[tuple[datetime, str]]:
    """The moments that are named below the plot, but for those whose words would leave the picture."""
    beside_px = WIDTH_PX - LEFT_PX - 4
    return [
        (at, label)
        for at, label in _named_moments(frame)
        if frame.share(at) * frame.plot_px + max(map(wide_px, label.split("\n"))) / 2
        <= min(beside_px, frame.plot_px + _EDGE_PX)
    ]


def _named_moments(frame: Frame) -> list[tuple[datetime, str]]:
    """Hours where there is room for them, then days: by name in a week, by date in a longer span."""
    hours = local_hours(frame.began, frame.ended, frame.zone)
    most = frame.plot_px / _TICK_SPACE_PX
    step = next((s for s in _HOUR_STEPS if len(hours) / s <= most), None)
    if step is not None:
        return _by_the_clock([at for at in hours if at.astimezone(frame.zone).hour % step == 0], frame)
    days = midnights(frame.began, frame.ended, frame.zone)
    if frame.ended - frame.began <= _WEEKDAY_TELLS and len(days) * _DAY_SPACE_PX <= frame.plot_px:
        noons = [at for at in hours if at.astimezone(frame.zone).hour == _NOON]
        return [(at, times.short_weekday(at.astimezone(frame.zone))) for at in noons]
    thinner = max(1, math.ceil(len(days) * _DATE_SPACE_PX / frame.plot_px))
    return [(at, times.short_day(at.astimezone(frame.zone))) for at in days[::thinner]]


def _by_the_clock(ticks: Sequence[datetime], frame: Frame) -> list[tuple[datetime, str]]:
    """Hours; the day stands under the first tick and under each midnight, unless they are neighbours."""
    local = [at.astimezone(frame.zone) for at in ticks]
    dated = [index for index, at in enumerate(local) if at.hour == 0]
    if local and (not dated or dated[0] > 1):
        dated.append(0)
    labels = (
        f"{times.clock(at)}\n{times.short_day(at)}" if index in dated else times.clock(at)
        for index, at in enumerate(local)
    )
    return list(zip(ticks, labels, strict=True))


def hatch_off(axes: Axes, frame: Frame) -> None:
    """Stretches when the station was off, crossed."""
    for stretch in frame.off:
        _hatched(axes, frame, stretch, "xx", say("station off"))


def hatch_gaps(axes: Axes, frame: Frame, gaps: Sequence[Stretch]) -> None:
    """Stretches without readings, hatched, but for those when the whole station was off."""
    for stretch in night.without(gaps, frame.off):
        if stretch[1] - stretch[0] >= timedelta(minutes=5):
            _hatched(axes, frame, stretch, "//", say("no readings"))


def crossed(axes: Axes, began: datetime, ended: datetime, pattern: str = "xx") -> None:
    """A stretch of which nothing is known."""
    axes.axvspan(
        *numbers((began, ended)),
        facecolor=UNREAD,
        edgecolor=HATCHING,
        hatch=pattern,
        linewidth=0.0,
        zorder=1.5,
    )


def _hatched(axes: Axes, frame: Frame, stretch: Stretch, pattern: str, label: str) -> None:
    crossed(axes, *stretch, pattern)
    free_px = (frame.share(stretch[1]) - frame.share(stretch[0])) * frame.plot_px
    label_px = wide_px(label) + _BESIDE_PX
    lying = free_px >= label_px
    if not lying and (free_px < _STANDING_PX or panel_px(axes) < label_px):
        return
    middle = (frame.share(stretch[0]) + frame.share(stretch[1])) / 2
    axes.text(
        middle,
        0.5,
        label,
        transform=axes.transAxes,
        ha="center",
        va="center",
        rotation=0 if lying else 90,
        fontsize=SMALL_SIZE,
        color=INK,
        bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.8, "pad": 1.5},
        zorder=6,
    )


def panel_px(axes: Axes) -> float:
    """How high the panel is."""
    return float(axes.bbox.height)


def say_nothing_known(axes: Axes, text: str) -> None:
    """Words in place of an empty panel."""
    axes.text(
        0.5,
        0.5,
        text,
        transform=axes.transAxes,
        ha="center",
        va="center",
        fontsize=SMALL_SIZE,
        color=INK,
        bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 3.0},
        zorder=7,
    )
