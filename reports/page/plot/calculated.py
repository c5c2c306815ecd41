"""The panels of what is calculated: level, salt and hatch, each as a band with its middle."""

from collections.abc import Callable, Sequence
from datetime import datetime

from reports import amounts, night
from reports.chart.believed import (
    Believed,
    drawn_off,
    half_said,
    last,
    last_calculated,
    nothing,
    over,
)
from reports.language import say
from reports.letters.stages import is_hatch_ahead
from reports.page.plot import svg
from reports.page.plot.field import PlotPanel, limit
from reports.page.plot.lines import band_paths, believed_of, believed_pieces
from reports.page.plot.scale import PlotScale, round_values
from reports.page.plot.span import PlotSpan
from reports.records import Range, TimeRange, VesselNight

_LEVEL_PX, _SALT_PX, _HATCH_PX = 100, 66, 74
# Shown where nothing is known: salt that is usual in a cup.
_USUAL_SALT = (20.0, 35.0)


def level_field(vessel: VesselNight, span: PlotSpan) -> PlotPanel:
    """The water's level from the mark; lower is drawn lower."""
    series = _inside(believed_of(vessel.loss_ml, vessel), span)
    ends = [-one for _, low, _, high in series for one in (low, high)]
    low, high = min([-vessel.low_ml, *ends]), max([0.0, *ends])
    scale = PlotScale(low - 0.1 * (high - low + 1.0), high + 0.1 * (high - low + 1.0), _LEVEL_PX)
    named = [one for one in round_values(scale.low, scale.high, 4) if one != 0.0]
    low_px = scale.y_px(-vessel.low_ml)
    label = say("low mark {level}", level=amounts.number(-vessel.low_ml))
    met = {(span.column(at), scale.y_px(-value)) for at, *values in series for value in values}
    return PlotPanel(
        say("Water level, mL from the mark"),
        _ended(vessel, series, lambda end: last_calculated(Range(-end.p90, -end.p50, -end.p10), 0)),
        scale.height_px,
        ((scale.y_px(0.0), say("mark")), *((scale.y_px(one), amounts.number(one)) for one in named)),
        _band(series, span, scale, "level", lambda value: -value),
        over=svg.level_line(scale.y_px(0.0), "at-mark")
        + limit(low_px, label, "low", scale.height_px, met)
        + _moment_bar(vessel.low_mark_at, span, low_px)
        + _end_said(vessel, series, span, scale),
    )


def salt_field(vessel: VesselNight, span: PlotSpan) -> PlotPanel:
    """Salinity, g/kg."""
    series = _inside(believed_of(vessel.salinity_g_per_kg, vessel), span)
    ends = [one for _, low, _, high in series for one in (low, high)] or list(_USUAL_SALT)
    room = max(0.15 * (max(ends) - min(ends)), 0.5)
    scale = PlotScale(min(ends) - room, max(ends) + room, _SALT_PX)
    named = round_values(scale.low, scale.high, 3)
    digits = 0 if all(one == round(one) for one in named) else 1
    return PlotPanel(
        say("Salt, g in a kg of brine"),
        _ended(vessel, series, lambda end: last_calculated(end, 1)),
        scale.height_px,
        tuple((scale.y_px(one), amounts.number(one, digits)) for one in named),
        _band(series, span, scale, "salt", lambda value: value),
        over=_end_said(vessel, series, span, scale),
    )


def hatch_field(vessel: VesselNight, span: PlotSpan) -> PlotPanel:
    """Hatched share of those that will hatch, with the moment of half."""
    shares = _inside(believed_of(vessel.hatched_fraction, vessel), span)
    believed = [(at, 100 * low, 100 * middle, 100 * high) for at, low, middle, high in shares]
    scale = PlotScale(-4.0, 104.0, _HATCH_PX)
    half = vessel.hatch_t50 if is_hatch_ahead(vessel) else None
    said = _ended(vessel, believed, lambda end: last(end, 0))
    if half is not None and not over(vessel):
        said = (*said, half_said(half, span.zone, span.share))
    return PlotPanel(
        say("Hatched, %"),
        said,
        scale.height_px,
        tuple((scale.y_px(one), amounts.number(one)) for one in (0.0, 50.0, 100.0)),
        _band(believed, span, scale, "hatch", lambda value: value),
        over=_moment_bar(half, span, scale.y_px(50.0)) + _end_said(vessel, believed, span, scale),
    )


def _inside(series: Sequence[Believed], span: PlotSpan) -> list[Believed]:
    return [point for point in series if span.began <= point[0] <= span.ended]


def _band(
    series: Sequence[Believed], span: PlotSpan, scale: PlotScale, style: str, scaled: Callable[[float], float]
) -> str:
    area, middle = band_paths(believed_pieces(series, span), span, scale, scaled)
    return svg.drawn(area, f"band {style}") + svg.drawn(middle, f"line {style}")


def _ended(vessel: VesselNight, series: Sequence[Believed], said: Callable[[Range], str]) -> tuple[str, ...]:
    """What is believed at the end, or why that is not said any more."""
    if not series:
        return ()
    return (over(vessel) or said(Range(*series[-1][1:])),)


def _end_said(vessel: VesselNight, series: Sequence[Believed], span: PlotSpan, scale: PlotScale) -> str:
    """Why a panel is empty, or ends before the chart does."""
    middle_px = scale.height_px // 2 + 4
    if not series:
        return svg.words(0.5, middle_px, nothing(vessel), "halo", "middle")
    ends = [began for began, ended in drawn_off(vessel) if ended > span.ended and began > series[0][0]]
    if not ends:
        return ""
    share, label = span.share(ends[0]), say("drawn off {when}", when=span.said(ends[0]))
    anchor = "end" if share > 0.5 else ""
    return svg.upright(share, scale.height_px, "drawn-off") + svg.words(
        share, middle_px, label, "halo", anchor
    )


def _moment_bar(believed: TimeRange | None, span: PlotSpan, y_px: int) -> str:
    """When something is believed to come about, as far as it lies in the chart: a bar and its middle."""
    if believed is None or believed.p10 is None:
        return ""
    began, ended = (_edge(at, span) for at in (believed.p10, believed.p90))
    if began >= 1.0 or ended <= 0.0:
        return ""
    began, ended = max(began, 0.0), min(ended, 1.0)
    bar = svg.level_line(y_px, "moment", began, ended)
    middle = _edge(believed.p50, span)
    return bar + (svg.words(middle, y_px + 4, "◆", "mark", "middle") if 0.0 <= middle <= 1.0 else "")


def _edge(at: datetime | None, span: PlotSpan) -> float:
    """A moment's share; past the edge where it is later than is known."""
    return 2.0 if at is None else span.share(night.moment_utc(at))
