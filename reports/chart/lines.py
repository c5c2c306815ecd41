"""Lines and bands on a panel, broken where nothing was read or calculated."""

import math
from collections.abc import Callable, Sequence
from datetime import datetime
from itertools import pairwise

from matplotlib.axes import Axes

from reports import night
from reports.chart.frame import Frame, numbers
from reports.records import Point, RangePoint

_BAND_ALPHA = 0.28


def line_of(
    points: Sequence[Point], frame: Frame, told: Callable[[float], float]
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
        line.append((at, None if point.value is None else told(point.value)))
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
