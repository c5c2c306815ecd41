"""What all panels of a chart share: the clock below, the gaps, the captions."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo

from matplotlib.axes import Axes
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.ticker import FixedFormatter, FixedLocator

from reports import amounts, night, times
from reports.language import say
from reports.records import NightRecord

DPI = 100
WIDTH_PX = 1000
LEFT_PX = 84
RIGHT_PX = 26
PLOT_PX = WIDTH_PX - LEFT_PX - RIGHT_PX

TITLE_SIZE = 15.5
TICK_SIZE = 14.0
SMALL_SIZE = 13.5
_CAPTION_SPACE_PX = 24

INK = "#1f1f1f"
QUIET = "#555555"
# From petroff6 (M. A. Petroff, "Accessible Color Sequences for Data Visualization", 2021) [M].
BLUE, PURPLE, VIOLET = "#5790fc", "#964a8b", "#7a21dd"
BROWN = "#b36200"  # petroff6's orange, darker: a thin line of it must be seen on the lamp's yellow

_HOUR_STEPS = (1, 2, 3, 4, 6, 12, 24)
_MOST_TICKS = 9
# A word in a gap takes this much of the plot's width lying, and this much standing.
_LYING_PX = 130
_STANDING_PX = 26

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

    def share(self, at: datetime) -> float:
        """Where a moment lies between the chart's edges, 0 to 1."""
        whole = (self.ended - self.began).total_seconds()
        return (night.moment_utc(at) - self.began).total_seconds() / whole


def frame_of(record: NightRecord) -> Frame:
    """The record's clock and the water scale that all its vessels share."""
    began, ended = night.moment_utc(record.span.began), night.moment_utc(record.span.ended)
    ended = max(ended, began + timedelta(hours=1))
    off = [(night.moment_utc(span.began), night.moment_utc(span.ended)) for span in record.outages]
    inside = tuple((max(a, began), min(b, ended)) for a, b in off if a < ended and b > began)
    zone = record.span.began.tzinfo or UTC
    return Frame(began, ended, zone, record.unit, _water_limits(record), inside)


def _water_limits(record: NightRecord) -> tuple[float, float]:
    seen = [value for vessel in record.vessels for _, value in night.good(vessel.water_c)]
    bands = [limit for vessel in record.vessels for limit in (vessel.cold_c, vessel.hot_c)]
    low, high = min(seen + bands, default=15.0) - 1.5, max(seen + bands, default=30.0) + 1.5
    return amounts.in_unit(low, record.unit), amounts.in_unit(high, record.unit)


def numbers(times: Iterable[datetime]) -> list[float]:
    """Moments as the axis counts them: Unix seconds, so that no change of the clocks bends the line."""
    return [at.timestamp() for at in times]


def set_clock(axes: Axes, frame: Frame, *, labelled: bool) -> None:
    """The hours as ticks, the midnights as lines; with their labels where asked."""
    axes.set_xlim(*numbers((frame.began, frame.ended)))
    ticks = _ticks(frame)
    axes.xaxis.set_major_locator(FixedLocator(numbers(ticks)))
    axes.xaxis.set_major_formatter(
        FixedFormatter(_tick_labels(ticks, frame) if labelled else [""] * len(ticks))
    )
    axes.tick_params(axis="x", length=5, color=QUIET, labelcolor=INK, labelsize=TICK_SIZE)
    axes.grid(visible=True, axis="x", color="#dddddd", linewidth=0.8, zorder=0)
    for at in _local_hours(frame):
        if at.astimezone(frame.zone).hour == 0:
            axes.axvline(numbers([at])[0], color="#777777", linewidth=1.2, zorder=1)


def _local_hours(frame: Frame) -> list[datetime]:
    first = frame.began.astimezone(frame.zone).replace(minute=0, second=0, microsecond=0).astimezone(UTC)
    count = int((frame.ended - first) / timedelta(hours=1)) + 1
    return [at for n in range(count) if frame.began <= (at := first + timedelta(hours=n)) <= frame.ended]


def _ticks(frame: Frame) -> list[datetime]:
    hours = _local_hours(frame)
    fitting = [s for s in _HOUR_STEPS if len(hours) / s <= _MOST_TICKS]
    step = fitting[0] if fitting else 24
    ticks = [at for at in hours if at.astimezone(frame.zone).hour % step == 0]
    thinner = max(1, math.ceil(len(ticks) / _MOST_TICKS))
    return ticks[::thinner]


def _tick_labels(ticks: Sequence[datetime], frame: Frame) -> list[str]:
    """Hours; the day stands under the first tick and under each midnight, unless they are neighbours."""
    local = [at.astimezone(frame.zone) for at in ticks]
    dated = [index for index, at in enumerate(local) if at.hour == 0]
    if local and (not dated or dated[0] > 1):
        dated.append(0)
    return [
        f"{times.clock(at)}\n{times.short_day(at)}" if index in dated else times.clock(at)
        for index, at in enumerate(local)
    ]


def wide_px(text: str, size: float, *, bold: bool = False) -> float:
    """How wide words of a size in points are drawn."""
    font = get_font(findfont(FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")))
    font.set_size(size, DPI)
    font.set_text(text, 0.0)
    return font.get_width_height()[0] / 64  # the font counts in 64ths of a pixel


def fitted_size(text: str, size: float, most_px: float, *, bold: bool = False) -> float:
    """The size in points, or the smaller one at which the words fit."""
    wide = wide_px(text, size, bold=bold)
    return size if wide <= most_px else size * most_px / wide


def caption(axes: Axes, name: str, latest: str) -> None:
    """The panel's name above its left end, what it says now above its right end."""
    room_px = PLOT_PX - wide_px(name, TITLE_SIZE, bold=True) - _CAPTION_SPACE_PX
    axes.set_title(name, loc="left", color=INK, fontweight="bold")
    axes.set_title(latest, loc="right", color=INK, fontsize=fitted_size(latest, TITLE_SIZE, room_px))


def hatch_off(axes: Axes, frame: Frame) -> None:
    """Stretches when the station was off, crossed."""
    for stretch in frame.off:
        _hatched(axes, frame, stretch, "xx", say("station off"))


def hatch_gaps(axes: Axes, frame: Frame, gaps: Sequence[Stretch]) -> None:
    """Stretches without readings, hatched, but for those when the whole station was off."""
    for stretch in night.without(gaps, frame.off):
        if stretch[1] - stretch[0] >= timedelta(minutes=5):
            _hatched(axes, frame, stretch, "//", say("no readings"))


def _hatched(axes: Axes, frame: Frame, stretch: Stretch, pattern: str, label: str) -> None:
    axes.axvspan(
        *numbers(stretch),
        facecolor=(0.94, 0.94, 0.94, 0.6),
        edgecolor="#b0b0b0",
        hatch=pattern,
        linewidth=0.0,
        zorder=1.5,
    )
    wide_px = (frame.share(stretch[1]) - frame.share(stretch[0])) * PLOT_PX
    high_px = panel_px(axes)
    lying = wide_px >= _LYING_PX
    if not lying and (wide_px < _STANDING_PX or high_px < _LYING_PX):
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
        fontsize=14,
        color=INK,
        bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 3.0},
        zorder=7,
    )
