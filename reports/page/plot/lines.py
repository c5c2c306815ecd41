"""Series as paths in whole pixels: the lowest and highest of each column kept, every gap kept, nothing joined
over one."""

import math
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from itertools import groupby, pairwise

from reports import night
from reports.chart.believed import Believed, kept, neighbours, pieces
from reports.page.plot.scale import PlotScale
from reports.page.plot.span import PlotSpan
from reports.records import Point, RangePoint, VesselNight

# A column and how far below the panel's top.
Place = tuple[int, int]


def measured_pieces(points: Sequence[Point], span: PlotSpan) -> list[list[tuple[datetime, float]]]:
    """What was read within the span, cut wherever nothing was for too long."""
    good = night.good(points)
    none = sorted(night.moment_utc(point.at) for point in points if point.value is None)
    torn = {after for (before, after), limit in neighbours([at for at, _ in good]) if after - before > limit}
    found: list[list[tuple[datetime, float]]] = []
    passed, last = 0, None
    for at, value in good:
        before, passed = passed, _passed(none, passed, at)
        if not span.began <= at <= span.ended:
            continue
        if last is None or at in torn or passed > before:
            found.append([])
        found[-1].append((at, value))
        last = at
    return found


def _passed(none: Sequence[datetime], passed: int, at: datetime) -> int:
    while passed < len(none) and none[passed] < at:
        passed += 1
    return passed


def believed_of(points: Sequence[RangePoint], vessel: VesselNight) -> list[Believed]:
    """What may be shown of what was believed; values that are none are left out."""
    return [point for point in kept(points, vessel) if all(math.isfinite(end) for end in point[1:])]


def believed_pieces(series: Sequence[Believed], span: PlotSpan) -> list[list[Believed]]:
    """What was believed within the span, cut wherever nothing was for too long."""
    inside = [point for point in series if span.began <= point[0] <= span.ended]
    return [piece for piece in pieces(inside) if piece]


def line_path(
    found: Iterable[Sequence[tuple[datetime, float]]],
    span: PlotSpan,
    scale: PlotScale,
    scaled: Callable[[float], float],
) -> str:
    """The pieces as one path."""
    return "".join(path(piece) for piece in places_of(found, span, scale, scaled))


def places_of(
    found: Iterable[Sequence[tuple[datetime, float]]],
    span: PlotSpan,
    scale: PlotScale,
    scaled: Callable[[float], float],
) -> list[list[Place]]:
    """Where each value of each piece stands."""
    return [[(span.column(at), scale.y_px(scaled(value))) for at, value in piece] for piece in found]


def path(places: Sequence[Place]) -> str:
    """A piece as a relative path: of each column first, lowest, highest and last; a lone place is a dot."""
    kept = [
        place for _, column in groupby(places, key=lambda place: place[0]) for place in _ends(list(column))
    ]
    return f"M{kept[0][0]} {kept[0][1]}{steps(kept) or 'h0'}" if kept else ""


def _ends(column: Sequence[Place]) -> list[Place]:
    """A column's first, lowest, highest and last place, as they follow each other."""
    ys = [y for _, y in column]
    wanted = sorted({0, ys.index(min(ys)), ys.index(max(ys)), len(ys) - 1})
    return [column[n] for n in wanted]


def steps(places: Sequence[Place]) -> str:
    """The steps from each place to the next, in as few letters as SVG 1.1, 8.3 allows."""
    written, letter = [], ""
    for dx, dy in _joined(places):
        if dy == 0:
            step, name = f"{dx}", "h"
        elif dx == 0:
            step, name = f"{dy}", "v"
        else:
            step, name = f"{dx}{'' if dy < 0 else ' '}{dy}", "l"
        same = name == letter
        written.append(step if same and step.startswith("-") else f"{' ' if same else name}{step}")
        letter = name
    return "".join(written)


def _joined(places: Sequence[Place]) -> list[Place]:
    """The steps, those that go on in the same direction as one."""
    found: list[Place] = []
    for (x0, y0), (x1, y1) in pairwise(places):
        dx, dy = x1 - x0, y1 - y0
        if (dx, dy) == (0, 0):
            continue
        if found and _goes_on(found[-1], (dx, dy)):
            found[-1] = found[-1][0] + dx, found[-1][1] + dy
        else:
            found.append((dx, dy))
    return found


def _goes_on(one: Place, other: Place) -> bool:
    turns = one[0] * other[1] != one[1] * other[0]
    return not turns and one[0] * other[0] >= 0 and one[1] * other[1] >= 0


def band_paths(
    found: Iterable[Sequence[Believed]], span: PlotSpan, scale: PlotScale, scaled: Callable[[float], float]
) -> tuple[str, str]:
    """What is believed as two paths: the area from p10 to p90, and the line of the middle."""
    area, middle = [], []
    for piece in found:
        columns = [list(column) for _, column in groupby(piece, key=lambda point: span.column(point[0]))]
        low, mid, high = zip(*(_of_column(column) for column in columns), strict=True)
        xs = [span.column(column[0][0]) for column in columns]
        ends = [[scale.y_px(scaled(value)) for value in values] for values in (low, mid, high)]
        floor, line, ceiling = (straightened(list(zip(xs, ys, strict=True))) for ys in ends)
        area.append(f"M{xs[0]} {ceiling[0][1]}{steps([*ceiling, *reversed(floor)])}z")
        middle.append(path(line))
    return "".join(area), "".join(middle)


def straightened(places: Sequence[Place]) -> list[Place]:
    """Fewer of the places, such that the lines between them pass all others within a pixel.

    The columns must rise. A line goes on as long as one from where it began meets every place in between.
    """
    kept, low, high = [*places[:1]], -math.inf, math.inf
    for before, place in pairwise(places):
        wide, rise = place[0] - kept[-1][0], place[1] - kept[-1][1]
        if not low <= rise / wide <= high:
            kept.append(before)
            wide, rise, low, high = place[0] - before[0], place[1] - before[1], -math.inf, math.inf
        low, high = max(low, (rise - 1) / wide), min(high, (rise + 1) / wide)
    return [*kept, *places[-1:]] if len(places) > 1 else kept


def _of_column(column: Sequence[Believed]) -> tuple[float, float, float]:
    """The lowest p10, the last middle and the highest p90 of a column."""
    return min(one[1] for one in column), column[-1][2], max(one[3] for one in column)
