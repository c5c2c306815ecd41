"""Lines, bands and limits on a panel; lines and bands are broken where nothing was read or calculated."""

import math
from collections.abc import Callable, Sequence
from datetime import datetime
from itertools import pairwise

from matplotlib.axes import Axes

from reports import night
from reports.chart.frame import INK, PLOT_PX, QUIET, SMALL_SIZE, Frame, numbers, panel_px, wide_px
from reports.records import Point, RangePoint

_BAND_ALPHA = 0.28
_WORDS_PX = 24


def line_of(
    points: Sequence[Point], frame: Frame, scaled: Callable[[float], float]
) -> list[tuple[datetime, float | None]]:
    """The series with a break in every gap, so that no line crosses what was not read."""
    limit = night.longest_joined([at for at, _ in night.good(points)])
    line: list[tuple[datetime, float | None]] = []
    for point in sorted(points, key=lambda p: night.moment_utc(p.at)):
        at = night.moment_utc(point.at)
        if not frame.began <= at <= frame.ended:
            continue
        if line and at - line[-1][0] > limit:
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


Believed = tuple[datetime, float, float, float]


def band_of(points: Sequence[RangePoint]) -> list[Believed]:
    """The series as UTC moment, p10, p50, p90."""
    return [(night.moment_utc(p.at), p.range.p10, p.range.p50, p.range.p90) for p in points]


def draw_band(axes: Axes, series: Sequence[Believed], colour: str) -> None:
    """The range believed, p10 to p90, with its middle; broken where nothing was calculated."""
    for piece in _pieces(series):
        at = numbers(point[0] for point in piece)
        low, middle, high = map(list, zip(*(point[1:] for point in piece), strict=True))
        axes.fill_between(at, low, high, color=colour, alpha=_BAND_ALPHA, linewidth=0, zorder=2)
        axes.plot(at, middle, color=colour, linewidth=2.6, zorder=4)
        if len(piece) == 1:
            axes.vlines(at, low, high, color=colour, linewidth=3.0, alpha=0.6, zorder=3)
            axes.plot(at, middle, ".", color=colour, markersize=9, zorder=4)


def _pieces(series: Sequence[Believed]) -> list[list[Believed]]:
    limit = night.longest_joined([at for at, *_ in series])
    pieces = [[point] for point in series[:1]]
    for before, after in pairwise(series):
        if after[0] - before[0] > limit:
            pieces.append([])
        pieces[-1].append(after)
    return pieces


def limit_line(
    axes: Axes, value: float, label: str, line: Sequence[tuple[float, float]], *, style: str
) -> None:
    """A limit as a line; its words stand at the end and on the side where they keep clear of the rest.

    `line` holds (share of the width, value) of what else is drawn; the panel's scale must be set before. A
    limit outside it is not drawn: words far off the picture are more than the letter engine can take.
    """
    low, high = axes.get_ylim()
    if not low <= value <= high:
        return
    axes.axhline(value, color=QUIET, linewidth=1.3, linestyle=style, zorder=3)
    places = [(end, side) for end in ("right", "left") for side in ("bottom", "top")]
    label_px = wide_px(label, SMALL_SIZE)
    end, side = max(places, key=lambda place: _clear_px(axes, value, line, label_px, place))
    axes.text(
        0.008 if end == "left" else 0.992,
        value,
        label,
        transform=axes.get_yaxis_transform(),
        ha=end,
        va=side,
        fontsize=SMALL_SIZE,
        color=INK,
        bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.6, "pad": 1.0},
        zorder=4,
    )


def _clear_px(
    axes: Axes, value: float, line: Sequence[tuple[float, float]], label_px: float, place: tuple[str, str]
) -> float:
    """How far the words at a place keep from the line; less than nothing where they leave the panel."""
    end, side = place
    limit_px = _height_at(axes, value)
    middle_px = limit_px + (_WORDS_PX if side == "bottom" else -_WORDS_PX) / 2
    if not 0 <= middle_px - _WORDS_PX / 2 <= middle_px + _WORDS_PX / 2 <= panel_px(axes):
        return -1.0
    edge = label_px / PLOT_PX + 0.02
    near = [at for at in line if (at[0] <= edge if end == "left" else at[0] >= 1.0 - edge)]
    # Past three lines of words no place is clearer than another: the first named is taken.
    return min([abs(_height_at(axes, other) - middle_px) for _, other in near] + [3.0 * _WORDS_PX])


def _height_at(axes: Axes, value: float) -> float:
    return float(axes.transData.transform((0.0, value))[1] - axes.bbox.y0)
