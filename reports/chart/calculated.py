"""The panels of what is calculated of one vessel: level, salt and hatch, each as a range with its middle."""

import math
from collections.abc import Sequence
from datetime import datetime
from functools import partial

from matplotlib.axes import Axes
from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator, ScalarFormatter

from reports import amounts, times
from reports.chart.believed import Believed, drawn_off, half_said, kept, last, last_calculated, nothing, over
from reports.chart.frame import Frame, say_nothing_known
from reports.chart.lines import draw_band, limit_line
from reports.chart.measured import shares
from reports.chart.palette import HATCH, INK, QUIET, SALT, WATER
from reports.chart.panel import Pane
from reports.chart.type import SMALL_SIZE, wide_px
from reports.language import say
from reports.letters.stages import is_hatch_ahead
from reports.records import Range, TimeRange, VesselNight


class _Numbers(ScalarFormatter):
    """The numbers at an axis, with the decimal mark of the language."""

    def __call__(self, x: float, pos: int | None = None) -> str:
        """The number at a tick."""
        return amounts.in_decimals(super().__call__(x, pos))


def level_panel(vessel: VesselNight, frame: Frame, height_px: int) -> Pane:
    """The water's level from the mark, lower is drawn lower; the range believed and its middle."""
    series = [(at, -high, -middle, -low) for at, low, middle, high in kept(vessel.loss_ml, vessel)]
    latest = over(vessel) or last_calculated(Range(*series[-1][1:]), 0) if series else ""
    return Pane(
        say("Water level, mL from the mark"),
        (latest,),
        height_px,
        partial(_draw_level, vessel, frame, series),
    )


def _draw_level(vessel: VesselNight, frame: Frame, series: Sequence[Believed], axes: Axes) -> None:
    ends = [value for _, low, _, high in series for value in (low, high)]
    low, high = min([-vessel.low_ml, *ends]), max([0.0, *ends])
    axes.set_ylim(low - 0.14 * (high - low + 1.0), high + 0.1 * (high - low + 1.0))
    axes.yaxis.set_major_locator(MaxNLocator(4, integer=True))
    axes.yaxis.set_major_formatter(
        FuncFormatter(lambda value, _: say("mark") if value == 0 else amounts.number(value))
    )
    axes.axhline(0.0, color=QUIET, linewidth=1.0, zorder=2)
    draw_band(axes, series, WATER)
    drawn = [(frame.share(at), value) for at, *values in series for value in values]
    label = say("low mark {level}", level=amounts.number(-vessel.low_ml))
    limit_line(axes, -vessel.low_ml, label, drawn, frame, style="--", taken=shares((), frame))
    _say_the_end(axes, vessel, series, frame)


def salt_panel(vessel: VesselNight, frame: Frame, height_px: int) -> Pane:
    """Salinity, g/kg: the range believed and its middle."""
    series = kept(vessel.salinity_g_per_kg, vessel)
    latest = over(vessel) or last_calculated(Range(*series[-1][1:]), 1) if series else ""
    return Pane(
        say("Salt, g in a kg of brine"), (latest,), height_px, partial(_draw_salt, vessel, frame, series)
    )


def _draw_salt(vessel: VesselNight, frame: Frame, series: Sequence[Believed], axes: Axes) -> None:
    ends = [value for _, low, _, high in series for value in (low, high)] or [20.0, 35.0]
    room = max(0.15 * (max(ends) - min(ends)), 0.5)
    axes.set_ylim(min(ends) - room, max(ends) + room)
    axes.yaxis.set_major_locator(MaxNLocator(3))
    axes.yaxis.set_major_formatter(_Numbers())
    draw_band(axes, series, SALT)
    _say_the_end(axes, vessel, series, frame)


def hatch_panel(vessel: VesselNight, frame: Frame, height_px: int) -> Pane:
    """Hatched share of those that will hatch, 0 to 100 %, with the moment of half, as a range."""
    series = [
        (at, 100 * low, 100 * mid, 100 * high) for at, low, mid, high in kept(vessel.hatched_fraction, vessel)
    ]
    said = [last(Range(*series[-1][1:]), 0)] if series else []
    half = vessel.hatch_t50 if is_hatch_ahead(vessel) else None
    if half is not None:
        said.append(half_said(half, frame.zone, frame.share))
    ended = over(vessel) if series else ""
    return Pane(
        say("Hatched, %"),
        (ended,) if ended else tuple(said),
        height_px,
        partial(_draw_hatch, vessel, frame, series, half),
    )


def _draw_hatch(
    vessel: VesselNight, frame: Frame, series: Sequence[Believed], half: TimeRange | None, axes: Axes
) -> None:
    axes.set_ylim(0.0, 104.0)
    axes.yaxis.set_major_locator(FixedLocator([0, 50, 100]))
    axes.axhline(50.0, color="#cccccc", linewidth=0.8, zorder=0.5)
    draw_band(axes, series, HATCH)
    if half is not None:
        _draw_half(axes, half, frame)
    _say_the_end(axes, vessel, series, frame)


def _say_the_end(axes: Axes, vessel: VesselNight, series: Sequence[Believed], frame: Frame) -> None:
    """Why a panel is empty, or ends before the picture does."""
    if not series:
        say_nothing_known(axes, nothing(vessel))
        return
    ends = [began for began, ended in drawn_off(vessel) if ended > frame.ended and began > series[0][0]]
    if not ends:
        return
    axes.axvline(ends[0].timestamp(), color=QUIET, linewidth=1.3, linestyle=":", zorder=3)
    label = say("drawn off {when}", when=frame.said(ends[0]))
    right_of_it = frame.share(ends[0]) + 0.01
    if right_of_it * frame.plot_px + wide_px(label) <= frame.plot_px:
        axes.text(
            right_of_it,
            0.5,
            label,
            transform=axes.transAxes,
            va="center",
            fontsize=SMALL_SIZE,
            color=INK,
            zorder=6,
        )


def _draw_half(axes: Axes, half: TimeRange, frame: Frame) -> None:
    """The range of half as a bar on the 50 % line; words where it begins or ends past the picture's edge."""
    ends = (half.p10, half.p50, half.p90)
    early, likely, late = (math.inf if at is None else frame.share(at) for at in ends)
    across = axes.get_yaxis_transform()
    inside = [min(max(end, 0.0), 1.0) for end in (early, late)]
    if inside[0] < inside[1]:
        axes.plot(
            inside, (50.0, 50.0), transform=across, color=INK, linewidth=3.0, solid_capstyle="butt", zorder=5
        )
    if early < 0.0:
        before = (
            say("half: before this picture")
            if late < 0.0
            else say("half: from {when}", when=_day(half.p10, frame))
        )
        _say_past_edge(axes, "<", 0.012, before)
    if late > 1.0:
        after = say("half: to {when}", when=_day(half.p90, frame)) if half.p90 and early <= 1.0 else ""
        _say_past_edge(axes, ">", 0.988, after or say("half: after this picture"))
    if 0.0 <= likely <= 1.0:
        axes.plot([likely], [50.0], "D", transform=across, color=INK, markersize=8, zorder=6)


def _day(at: datetime | None, frame: Frame) -> str:
    return "" if at is None else times.short_moment(times.believed_moment(at.astimezone(frame.zone)))


def _say_past_edge(axes: Axes, marker: str, share: float, text: str) -> None:
    across = axes.get_yaxis_transform()
    axes.plot([share], [50.0], marker, transform=across, color=INK, markersize=9, zorder=6)
    axes.text(
        share + (0.025 if marker == "<" else -0.025),
        54.0,
        text,
        transform=across,
        ha="left" if marker == "<" else "right",
        va="bottom",
        fontsize=SMALL_SIZE,
        color=INK,
        bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.7, "pad": 0.5},
        zorder=6,
    )
