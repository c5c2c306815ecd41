"""The panels of what is calculated of one vessel: level, salt and hatch, each as a range with its middle."""

import math
from datetime import datetime

from matplotlib.axes import Axes
from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator, ScalarFormatter

from reports import amounts, night, times
from reports.chart.frame import (
    BLUE,
    INK,
    PURPLE,
    QUIET,
    VIOLET,
    Frame,
    caption,
    say_nothing_known,
)
from reports.chart.lines import band_of, draw_band, limit_line
from reports.language import say
from reports.letters.stages import is_emptied, is_hatch_ahead
from reports.records import Range, TimeRange, VesselNight


class _Numbers(ScalarFormatter):
    """The numbers at an axis, with the decimal mark of the language."""

    def __call__(self, x: float, pos: int | None = None) -> str:
        """The number at a tick."""
        return amounts.in_decimals(super().__call__(x, pos))


def draw_level(axes: Axes, vessel: VesselNight, frame: Frame) -> None:
    """The water's level from the mark, lower is drawn lower; the range believed and its middle."""
    series = [(night.moment_utc(p.at), -p.range.p90, -p.range.p50, -p.range.p10) for p in vessel.loss_ml]
    ends = [value for _, low, _, high in series for value in (low, high)]
    low, high = min([-vessel.low_ml, *ends]), max([0.0, *ends])
    axes.set_ylim(low - 0.14 * (high - low + 1.0), high + 0.1 * (high - low + 1.0))
    axes.yaxis.set_major_locator(MaxNLocator(4, integer=True))
    axes.yaxis.set_major_formatter(
        FuncFormatter(lambda value, _: say("mark") if value == 0 else amounts.number(value))
    )
    axes.axhline(0.0, color=QUIET, linewidth=1.0, zorder=2)
    draw_band(axes, series, BLUE)
    placed = [(frame.share(at), low) for at, low, _, _ in series]
    limit_line(
        axes,
        -vessel.low_ml,
        say("low mark {level}", level=amounts.number(-vessel.low_ml)),
        placed,
        style="--",
    )
    over = _no_more(vessel) if vessel.batch_set_at is None else ""
    latest = over or _last_calculated(Range(*series[-1][1:]), 0) if series else ""
    caption(axes, say("Water level, mL from the mark"), latest)
    if not series:
        say_nothing_known(axes, _nothing(vessel))


def draw_salt(axes: Axes, vessel: VesselNight, _frame: Frame) -> None:
    """Salinity, g/kg: the range believed and its middle."""
    series = band_of(vessel.salinity_g_per_kg)
    ends = [value for _, low, _, high in series for value in (low, high)] or [20.0, 35.0]
    room = max(0.15 * (max(ends) - min(ends)), 0.5)
    axes.set_ylim(min(ends) - room, max(ends) + room)
    axes.yaxis.set_major_locator(MaxNLocator(3))
    axes.yaxis.set_major_formatter(_Numbers())
    draw_band(axes, series, PURPLE)
    latest = _no_more(vessel) or _last_calculated(vessel.salinity_g_per_kg[-1].range, 1) if series else ""
    caption(axes, say("Salt, g in a kg of brine"), latest)
    if not series:
        say_nothing_known(axes, _nothing(vessel))


def draw_hatch(axes: Axes, vessel: VesselNight, frame: Frame) -> None:
    """Hatched share of those that will hatch, 0 to 100 %, with the moment of half, as a range."""
    series = [
        (at, 100 * low, 100 * mid, 100 * high) for at, low, mid, high in band_of(vessel.hatched_fraction)
    ]
    axes.set_ylim(0.0, 104.0)
    axes.yaxis.set_major_locator(FixedLocator([0, 50, 100]))
    axes.axhline(50.0, color="#cccccc", linewidth=0.8, zorder=0.5)
    draw_band(axes, series, VIOLET)
    latest = [_last(Range(*series[-1][1:]), 0)] if series else []
    if vessel.hatch_t50 is not None and is_hatch_ahead(vessel):
        latest.append(_half(vessel.hatch_t50, frame))
        _draw_half(axes, vessel.hatch_t50, frame)
    caption(axes, say("Hatched, %"), (_no_more(vessel) if series else "") or "  ".join(latest))
    if not series:
        say_nothing_known(axes, _nothing(vessel))


def _last(believed: Range, digits: int) -> str:
    return say("last {middle} ({low} to {high})", **_ends(believed, digits))


def _last_calculated(believed: Range, digits: int) -> str:
    return say("last {middle} ({low} to {high}), calculated", **_ends(believed, digits))


def _ends(believed: Range, digits: int) -> dict[str, str]:
    ends = {"low": believed.p10, "middle": believed.p50, "high": believed.p90}
    return {name: amounts.number(value, digits) for name, value in ends.items()}


def _half(half: TimeRange, frame: Frame) -> str:
    early, likely, late = (
        None if at is None else _rounded(at, frame) for at in (half.p10, half.p50, half.p90)
    )
    if early is None:
        return say("▶ half later than can be told")
    if likely is None or late is None:
        return say("▶ half not before {early}", early=times.short_moment(early))
    sign = "▶" if frame.share(likely) > 1.0 else "◆"
    moment = times.clock if early.date() == likely.date() == late.date() else times.short_moment
    return say(
        "{sign} half {likely} ({early} to {late})",
        sign=sign,
        likely=times.short_moment(likely),
        early=moment(early),
        late=moment(late),
    )


def _rounded(at: datetime, frame: Frame) -> datetime:
    return times.believed_moment(at.astimezone(frame.zone))


def _draw_half(axes: Axes, half: TimeRange, frame: Frame) -> None:
    """The range of half as a bar on the 50 % line; an arrow where it lies past the chart's right edge."""
    ends = (half.p10, half.p50, half.p90)
    early, likely, late = (math.inf if at is None else frame.share(at) for at in ends)
    across = axes.get_yaxis_transform()
    inside = [min(max(end, 0.0), 1.0) for end in (early, late)]
    if inside[0] < inside[1]:
        axes.plot(
            inside, (50.0, 50.0), transform=across, color=INK, linewidth=3.0, solid_capstyle="butt", zorder=5
        )
    if late > 1.0:
        axes.plot([0.99], [50.0], ">", transform=across, color=INK, markersize=10, zorder=6)
    if 0.0 <= likely <= 1.0:
        axes.plot([likely], [50.0], "D", transform=across, color=INK, markersize=9, zorder=6)


def _no_more(vessel: VesselNight) -> str:
    """Why what was calculated last is not said any more; empty where it is."""
    if vessel.batch_set_at is None:
        return say("the batch is over")
    return say("not judged since most was drawn") if is_emptied(vessel) else ""


def _nothing(vessel: VesselNight) -> str:
    if vessel.batch_set_at is None:
        return say("no batch is running")
    return _no_more(vessel) or say("nothing calculated yet")
