"""The panels of what was read: water and the room's air, the lamp's hours and the light."""

from collections.abc import Sequence
from datetime import timedelta
from functools import partial

from reports import amounts, night
from reports.chart.readings import BRIGHTNESS, extremes_said, lamp_bars, lamp_seen_said, marked
from reports.language import say
from reports.page.plot import svg
from reports.page.plot.field import PlotPanel, gaps, limit, now_said
from reports.page.plot.lines import line_path, measured_pieces, path, places_of
from reports.page.plot.scale import PlotScale, round_values
from reports.page.plot.span import AHEAD, PlotSpan
from reports.records import Point, Range, Span, VesselNight

_WATER_PX, _LIGHT_PX, _LAMP_PX = 140, 70, 14
_ROOM_K = 1.5
# In a longer span a record has less than a reading an hour: too few to tell how long a lamp was lit.
_LAMP_TOLD = timedelta(days=30)
_STYLES = ("line air", "line warmth")
_FULL_PERCENT = 115.0


def water_field(vessel: VesselNight, air: Sequence[Point], span: PlotSpan, key: str) -> PlotPanel:
    """Water temperature in the set unit with its limits, the room's air, and what is to come."""
    shown = partial(amounts.in_unit, unit=span.unit)
    scale = _water_scale(vessel, air, span)
    read = measured_pieces(vessel.water_c, span)
    drawn = [places_of(found, span, scale, shown) for found in (measured_pieces(air, span), read)]
    paths = [svg.drawn("".join(map(path, one)), style) for one, style in zip(drawn, _STYLES, strict=True)]
    met = {place for one in drawn for piece in one for place in piece}
    cold, hot = (scale.y_px(shown(one)) for one in (vessel.cold_c, vessel.hot_c))
    limits = (
        (hot, say("hot above {limit}", limit=amounts.number(shown(vessel.hot_c), 1)), "hot"),
        (cold, say("cold below {limit}", limit=amounts.number(shown(vessel.cold_c), 1)), "cold"),
    )
    said = extremes_said(vessel, span) or (say("no readings of the water"),)
    return PlotPanel(
        say("Water, °{unit}", unit=span.unit),
        (*said, *_other_lines(air), *_coming_said(vessel, span)),
        scale.height_px,
        tuple((scale.y_px(one), amounts.number(one)) for one in round_values(scale.low, scale.high, 6)),
        "".join(paths),
        under=svg.stretch(0.0, 1.0, hot, cold - hot, "wanted") + _unread(vessel.water_c, span, scale, key),
        over="".join(limit(y_px, words, style, _WATER_PX, met) for y_px, words, style in limits)
        + _coming(vessel, span, scale)
        + now_said(span)
        + _marks(vessel, span, scale),
    )


def _water_scale(vessel: VesselNight, air: Sequence[Point], span: PlotSpan) -> PlotScale:
    seen = [value for _, value in (*night.good(vessel.water_c), *night.good(air))]
    coming = [end for _, one in _coming_ranges(vessel, span) for end in (one.p10, one.p90)]
    ends = [*seen, *coming, vessel.cold_c, vessel.hot_c]
    low, high = (amounts.in_unit(end, span.unit) for end in (min(ends) - _ROOM_K, max(ends) + _ROOM_K))
    return PlotScale(low, high, _WATER_PX)


def _other_lines(air: Sequence[Point]) -> tuple[str, ...]:
    return (say("dotted: the room's air"),) if night.good(air) else ()


def _marks(vessel: VesselNight, span: PlotSpan, scale: PlotScale) -> str:
    return "".join(
        svg.words(
            span.share(at), scale.y_px(value) + {"v": -4, "^": 15, "o": 4}[marker], sign, "mark", "middle"
        )
        for sign, marker, _, at, value in marked(vessel, span)
        if span.began <= at <= span.ended
    )


def _coming_ranges(vessel: VesselNight, span: PlotSpan) -> list[tuple[str, Range]]:
    """The coldest and the warmest that are expected, where the present is shown."""
    both = (("cold", vessel.water_c_min_next_16h), ("hot", vessel.water_c_max_next_16h))
    return [(name, one) for name, one in both if one is not None and span.now]


def _coming(vessel: VesselNight, span: PlotSpan, scale: PlotScale) -> str:
    """A box each from p10 to p90 with its middle, right of the present."""
    if span.edge == span.ended:
        return ""
    began, ended = span.share(span.ended), span.share(span.ended + AHEAD)
    drawn = []
    for name, one in _coming_ranges(vessel, span):
        top, mid, foot = (scale.y_px(amounts.in_unit(end, span.unit)) for end in (one.p90, one.p50, one.p10))
        drawn.append(svg.stretch(began, ended, top, max(foot - top, 2), f"ahead {name}"))
        drawn.append(svg.level_line(mid, f"ahead-middle {name}", began, ended))
    return "".join(drawn)


def _coming_said(vessel: VesselNight, span: PlotSpan) -> tuple[str, ...]:
    """What the next 16 hours most likely bring."""
    said = {
        name: amounts.number(amounts.in_unit(one.p50, span.unit), 1)
        for name, one in _coming_ranges(vessel, span)
    }
    if len(said) < 2:
        return ()
    return (say("next 16 h: most likely {low} to {high}", low=said["cold"], high=said["hot"]),)


def light_field(vessel: VesselNight, span: PlotSpan, key: str) -> PlotPanel:
    """The light with the limit from which the lamp counts as lit, below the lamp's hours."""
    lux = vessel.light_unit == "lux"
    times = 1.0 if lux else 100.0
    read = measured_pieces(vessel.light, span)
    low_light = vessel.low_light * times
    top = max([1.0, 1.6 * low_light] + [1.3 * value * times for _, value in night.good(vessel.light)])
    scale = PlotScale(0.0, top if lux else min(top, _FULL_PERCENT), _LIGHT_PX, bends=lux)
    named = [one for one in BRIGHTNESS if one <= top] if lux else round_values(0.0, scale.high, 3)
    limit_px = scale.y_px(low_light)
    words = say("dashed: lit from {limit}", limit=amounts.light(vessel.low_light, vessel.light_unit or "lux"))
    told = vessel.lamp_hours and span.ended - span.began <= _LAMP_TOLD
    missing = "" if read else say("no readings of the light")
    return PlotPanel(
        say("Light, lux") if lux else say("Light, {percent} of full", percent="%"),
        (words, missing, lamp_seen_said(vessel, span) if told else ""),
        scale.height_px,
        tuple((scale.y_px(one), say(BRIGHTNESS[one]) if lux else amounts.number(one)) for one in named),
        svg.drawn(line_path(read, span, scale, lambda value: value * times), "line light"),
        under=_unread(vessel.light, span, scale, key),
        over=svg.level_line(limit_px, "limit"),
        above=lamp_row(vessel, span),
    )


def lamp_row(vessel: VesselNight, span: PlotSpan) -> str:
    """The lamp's hours as bars; nothing where it has none."""
    bars = "".join(
        f"M{span.column(began)} 2v{_LAMP_PX - 4}H{max(span.column(ended), span.column(began) + 1)}V2z"
        for began, ended in lamp_bars(vessel, span)
    )
    if not bars:
        return ""
    label, hours = say("Lamp"), say("lamp hours")
    field = svg.row(
        svg.gutter(_LAMP_PX, [(_LAMP_PX // 2, label)]),
        svg.plot(_LAMP_PX, svg.stretched(_LAMP_PX, svg.drawn(bars, "lamp"))),
    )
    return f'<div role="img" aria-label="{svg.said(hours)}">{field}</div>'


def _unread(points: Sequence[Point], span: PlotSpan, scale: PlotScale, key: str) -> str:
    return gaps(night.gaps(points, Span(span.began, span.ended)), span, scale.height_px, key)
