"""What a chart says of a moment: of each quantity that has data a few words, as the letters would say it."""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache

from reports import amounts, night
from reports.chart.believed import Believed
from reports.language import say
from reports.page.plot.lines import believed_of
from reports.page.plot.span import PlotSpan
from reports.records import Point, Range, VesselNight

# Over a longer step the lowest and highest of it are said, not one reading of many.
_HOUR = timedelta(hours=1)

_Said = Callable[[float, float], str]


@dataclass(frozen=True, slots=True)
class Quantity:
    """Something that a chart tells: its `name` as a table's head, its words at a moment for a step of time
    around it; empty where nothing is known then."""

    name: str
    at: Callable[[datetime, timedelta], str]


def quantities(vessel: VesselNight, air: Sequence[Point], span: PlotSpan) -> list[Quantity]:
    """Those that have data, in the order of the panels."""
    light_unit = vessel.light_unit or "lux"
    found = [
        _read(say("Water"), vessel.water_c, span, _warm(span)),
        _read(say("Room"), air, span, _warm(span)),
        _read(say("Light"), vessel.light, span, lambda low, high: _light(low, high, light_unit)),
        _believed(say("Level"), believed_of(vessel.loss_ml, vessel), _level),
        _believed(say("Salt"), believed_of(vessel.salinity_g_per_kg, vessel), _salt),
        _believed(say("Hatched"), believed_of(vessel.hatched_fraction, vessel), _share),
    ]
    return [one for one in found if one is not None]


def _warm(span: PlotSpan) -> _Said:
    def said(low_c: float, high_c: float) -> str:
        low, high = (amounts.temperature(one, span.unit) for one in (low_c, high_c))
        bare = amounts.number(amounts.in_unit(low_c, span.unit), 1)
        return high if low == high else say("{low} to {high}", low=bare, high=high)

    return said


def _light(low: float, high: float, light_unit: str) -> str:
    brightest = amounts.light(high, light_unit)
    if amounts.light(low, light_unit) == brightest:
        return brightest
    bare = amounts.number(low) if light_unit == "lux" else amounts.percent(low)
    return say("{low} to {high}", low=bare, high=brightest)


def _level(loss_ml: Range) -> str:
    said = amounts.level(loss_ml.p50)
    if amounts.number(loss_ml.p10) == amounts.number(loss_ml.p90):
        return said
    return f"{said} ({amounts.level_ends(loss_ml)})"


def _salt(salt: Range) -> str:
    return _with_ends(salt, 1, "g")


def _share(fraction: Range) -> str:
    return _with_ends(Range(*(100 * one for one in (fraction.p10, fraction.p50, fraction.p90))), 0, "%")


def _with_ends(believed: Range, digits: int, unit: str) -> str:
    low, middle, high = (amounts.number(one, digits) for one in (believed.p10, believed.p50, believed.p90))
    ends = say("{low} to {high}", low=low, high=high)
    return f"{middle} {unit}" if low == high else f"{middle} {unit} ({ends})"


def _read(name: str, points: Sequence[Point], span: PlotSpan, said: _Said) -> Quantity | None:
    held = night.held(points, span.ended)
    if not held:
        return None
    begins = [began for began, _, _ in held]

    def at(moment: datetime, step: timedelta) -> str:
        if step > _HOUR:
            first, after = (bisect_left(begins, moment + half) for half in (-step / 2, step / 2))
            values = [value for _, _, value in held[first:after]]
            if values:
                return said(min(values), max(values))
        n = bisect_right(begins, moment) - 1
        return said(held[n][2], held[n][2]) if n >= 0 and moment <= held[n][1] else ""

    return Quantity(name, at)


def _believed(name: str, series: Sequence[Believed], said: Callable[[Range], str]) -> Quantity | None:
    if not series:
        return None
    begins = [point[0] for point in series]
    joined = night.longest_joined(begins) or [_HOUR]
    words = cache(lambda n: said(Range(*series[n][1:])))

    def at(moment: datetime, _: timedelta) -> str:
        n = bisect_right(begins, moment) - 1
        if n < 0 or moment - begins[n] > joined[min(n, len(joined) - 1)]:
            return ""
        return words(n)

    return Quantity(name, at)
