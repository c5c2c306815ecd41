"""Lines, bands and limits on a panel; lines and bands are broken where nothing was read or calculated."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from matplotlib.axes import Axes

from reports import night
from reports.chart.believed import Believed, neighbours, pieces
from reports.chart.frame import Frame, numbers, panel_px
from reports.chart.palette import BAND_ALPHA, INK, QUIET
from reports.chart.type import SMALL_SIZE, wide_px
from reports.records import Point

_WORDS_PX = 26
_EDGE_PX = 5
# A limit's words look for room in steps of this many pixels.
_STEP_PX = 4


def line_of(
    points: Sequence[Point], frame: Frame, scaled: Callable[[float], float]
) -> list[tuple[datetime, float | None]]:
    """The series with a break in every gap, so that no line crosses what was not read."""
    read = [at for at, _ in night.good(points)]
    gaps = {after for (before, after), limit in neighbours(read) if after - before > limit}
    line: list[tuple[datetime, float | None]] = []
    for point in sorted(points, key=lambda p: night.moment_utc(p.at)):
        at = night.moment_utc(point.at)
        if not frame.began <= at <= frame.ended:
            continue
        if line and at in gaps:
            line.append((at, None))
        line.append((at, None if point.value is None else scaled(point.value)))
    return line


def draw_line(axes: Axes, line: Sequence[tuple[datetime, float | None]], colour: str, width: float) -> None:
    """The line; a reading with a gap on either side as a dot, for a line of one point cannot be seen."""
    at = numbers(moment for moment, _ in line)
    values = [math.nan if value is None else value for _, value in line]
    axes.plot(at, values, color=colour, linewidth=width, zorder=4, solid_capstyle="round")
    bounded = [math.nan, *values, math.nan]
    lone = [
        n for n, value in enumerate(values) if not math.isnan(value) and _is_lone(bounded[n], bounded[n + 2])
    ]
    axes.plot([at[n] for n in lone], [values[n] for n in lone], ".", color=colour, markersize=9, zorder=4)


def _is_lone(before: float, after: float) -> bool:
    return math.isnan(before) and math.isnan(after)


def draw_band(axes: Axes, series: Sequence[Believed], colour: str) -> None:
    """The range believed, p10 to p90, with its middle; broken where nothing was calculated."""
    for piece in pieces(series):
        at = numbers(point[0] for point in piece)
        low, middle, high = map(list, zip(*(point[1:] for point in piece), strict=True))
        axes.fill_between(at, low, high, color=colour, alpha=BAND_ALPHA, linewidth=0, zorder=2)
        axes.plot(at, middle, color=colour, linewidth=2.6, zorder=4)
        if len(piece) == 1:
            axes.vlines(at, low, high, color=colour, linewidth=3.0, alpha=0.6, zorder=3)
            axes.plot(at, middle, ".", color=colour, markersize=9, zorder=4)


def limit_line(
    axes: Axes,
    value: float,
    label: str,
    line: Sequence[tuple[float, float]],
    frame: Frame,
    *,
    style: str,
    taken: Sequence[tuple[float, float]] = (),
) -> None:
    """A limit as a line; its words stand in the longest stretch, above or below it, that is free of the rest.

    `line` holds (share of the width, value) of what else is drawn, `taken` shares (from, to) of gaps, where
    other words stand; the panel's scale must be set before. A limit outside it is not drawn: words far off
    the picture are more than the letter engine can take. Where no stretch is long enough, it lies over them.
    """
    low, high = axes.get_ylim()
    if not low <= value <= high:
        return
    axes.axhline(value, color=QUIET, linewidth=1.3, linestyle=style, zorder=3)
    place = _place(axes, value, line, frame, taken, wide_px(label) + _EDGE_PX)
    at_px, anchor = (place.began_px + place.ended_px) / 2, "center"
    if place.ended_px >= frame.plot_px - _STEP_PX:
        at_px, anchor = frame.plot_px - _EDGE_PX, "right"
    elif place.began_px <= 0:
        at_px, anchor = _EDGE_PX, "left"
    axes.text(
        at_px / frame.plot_px,
        place.middle_px / panel_px(axes),
        label,
        transform=axes.transAxes,
        ha=anchor,
        va="center",
        fontsize=SMALL_SIZE,
        color=INK,
        zorder=3.5,
    )


@dataclass(frozen=True, slots=True)
class _Place:
    """A stretch where words may stand and the height of their middle, pixels from the plot's lower left."""

    began_px: float
    ended_px: float
    middle_px: float


def _place(
    axes: Axes,
    value: float,
    line: Sequence[tuple[float, float]],
    frame: Frame,
    taken: Sequence[tuple[float, float]],
    least_px: float,
) -> _Place:
    """The longest free stretch beside the limit; a line of words further off, or over a gap, where that is
    too short."""
    drawn_px = [(x * frame.plot_px, _height_at(axes, y)) for x, y in line]
    longest: list[_Place] = []
    for gaps in (taken, ()):
        for off_px in (0.5 * _WORDS_PX, 1.4 * _WORDS_PX):
            places = _places(axes, value, off_px, drawn_px, frame, gaps)
            longest += sorted(places, key=lambda place: place.began_px - place.ended_px)[:1]
            if longest and longest[-1].ended_px - longest[-1].began_px >= least_px:
                return longest[-1]
    beside = _Place(0.0, frame.plot_px, _height_at(axes, value) + _WORDS_PX / 2)
    return max(longest, key=lambda place: place.ended_px - place.began_px, default=beside)


def _places(
    axes: Axes,
    value: float,
    off_px: float,
    drawn_px: Sequence[tuple[float, float]],
    frame: Frame,
    gaps: Sequence[tuple[float, float]],
) -> list[_Place]:
    """The free stretches above the limit and below it, so far off."""
    heights = (_height_at(axes, value) + off_px, _height_at(axes, value) - off_px)
    return [
        _Place(*stretch, middle_px)
        for middle_px in heights
        if _WORDS_PX / 2 - 3 <= middle_px <= panel_px(axes) - _WORDS_PX / 2 + 3
        for stretch in _free_px(drawn_px, middle_px, frame, gaps)
    ]


def _free_px(
    drawn_px: Sequence[tuple[float, float]],
    middle_px: float,
    frame: Frame,
    taken: Sequence[tuple[float, float]],
) -> list[tuple[float, float]]:
    """The stretches of the plot whose words about a height meet nothing that is drawn."""
    met = {int(x // _STEP_PX) for x, y in _filled(drawn_px) if abs(y - middle_px) < _WORDS_PX / 2 + 2}
    for began, ended in taken:
        met |= set(range(int(began * frame.plot_px // _STEP_PX), int(ended * frame.plot_px // _STEP_PX) + 1))
    last = int(frame.plot_px // _STEP_PX)
    edges = [-1, *sorted(step for step in met if 0 <= step <= last), last + 1]
    return [((a + 1) * _STEP_PX, b * _STEP_PX) for a, b in pairwise(edges) if b - a > 1]


def _filled(drawn_px: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """The points with more between them, so that no steep flank slips through."""
    for (x0, y0), (x1, y1) in pairwise(sorted(drawn_px)):
        parts = min(int(max(abs(y1 - y0), abs(x1 - x0)) // _STEP_PX) + 1, 500)
        yield from ((x0 + (x1 - x0) * n / parts, y0 + (y1 - y0) * n / parts) for n in range(parts))
    yield from sorted(drawn_px)[-1:]


def _height_at(axes: Axes, value: float) -> float:
    return float(axes.transData.transform((0.0, value))[1] - axes.bbox.y0)
