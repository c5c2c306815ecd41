"""The panels of what is measured in one vessel: water and light on their scales, and the lamp's hours."""

from collections.abc import Sequence
from datetime import datetime
from functools import partial

from matplotlib.axes import Axes
from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator, NullLocator

from reports import amounts, night
from reports.chart.frame import Frame, hatch_gaps, numbers, say_nothing_known, set_clock
from reports.chart.lines import draw_line, limit_line, line_of
from reports.chart.palette import COMFORT, INK, LIGHT, QUIET, WATER
from reports.chart.panel import Pane
from reports.chart.readings import BRIGHTNESS, extremes_said, lamp_bars, lamp_seen_said, marked
from reports.chart.type import SMALL_SIZE, wide_px
from reports.language import say
from reports.records import Span, VesselNight

LAMP_PX = 28
_FULL_PERCENT = 115.0


def water_panel(vessel: VesselNight, frame: Frame, height_px: int) -> Pane:
    """Water temperature in the set unit, with the band of comfort, the coldest, warmest and last reading."""
    return Pane(
        say("Water, °{unit}", unit=frame.unit),
        extremes_said(vessel, frame),
        height_px,
        partial(_draw_water, vessel, frame),
    )


def _draw_water(vessel: VesselNight, frame: Frame, axes: Axes) -> None:
    cold, hot = (amounts.in_unit(limit, frame.unit) for limit in (vessel.cold_c, vessel.hot_c))
    axes.set_ylim(*frame.water_limits)
    axes.yaxis.set_major_locator(MaxNLocator(5, integer=True))
    axes.axhspan(cold, hot, facecolor=COMFORT, zorder=0.5)
    line = line_of(vessel.water_c, frame, lambda value: amounts.in_unit(value, frame.unit))
    draw_line(axes, line, WATER, 2.4)
    placed = [(frame.share(at), value) for at, value in line if value is not None]
    gaps = (
        night.gaps(vessel.water_c, Span(frame.began, frame.ended)) if placed else [(frame.began, frame.ended)]
    )
    limit_words = (
        (cold, say("cold below {limit}", limit=amounts.number(cold, 1))),
        (hot, say("hot above {limit}", limit=amounts.number(hot, 1))),
    )
    for limit, label in limit_words:
        limit_line(axes, limit, label, placed, frame, style=":", taken=shares(gaps, frame))
    for _, marker, _, at, value in marked(vessel, frame):
        axes.plot(numbers([at]), [value], marker, color=INK, markersize=8, zorder=6, clip_on=False)
    hatch_gaps(axes, frame, gaps)
    if not placed:
        say_nothing_known(axes, say("no readings of the water"))


def shares(gaps: Sequence[tuple[datetime, datetime]], frame: Frame) -> list[tuple[float, float]]:
    """Gaps and outages as shares of the width."""
    return [(frame.share(began), frame.share(ended)) for began, ended in (*gaps, *frame.off)]


def lamp_panel(vessel: VesselNight, frame: Frame) -> Pane:
    """The lamp's hours as black bars, with how they went where light is measured."""
    if not vessel.lamp_hours:
        said = say("no lamp hours")
    elif vessel.light_unit is None:
        said = say("light is not measured")
    else:
        said = lamp_seen_said(vessel, frame)
    bars = any(_is_named(bar, frame) for bar in lamp_bars(vessel, frame)) or not vessel.lamp_hours
    name = say("Lamp") if bars else say("Lamp, black: its hours")
    return Pane(name, (said,), LAMP_PX, partial(draw_lamp, vessel, frame))


def draw_lamp(vessel: VesselNight, frame: Frame, axes: Axes) -> None:
    """The lamp's hours as black bars that say so."""
    set_clock(axes, frame, labelled=False)
    axes.tick_params(axis="x", length=0)
    axes.set_ylim(0.0, 1.0)
    axes.yaxis.set_major_locator(NullLocator())
    axes.spines["left"].set_visible(False)
    axes.spines["bottom"].set_color(QUIET)
    for bar in lamp_bars(vessel, frame):
        axes.axvspan(*numbers(bar), facecolor=INK, linewidth=0.0, zorder=2)
        if _is_named(bar, frame):
            middle = (frame.share(bar[0]) + frame.share(bar[1])) / 2
            axes.text(
                middle,
                0.5,
                say("lamp hours"),
                transform=axes.transAxes,
                ha="center",
                va="center_baseline",
                fontsize=SMALL_SIZE,
                color="white",
                zorder=3,
            )


def _is_named(bar: tuple[datetime, datetime], frame: Frame) -> bool:
    """Whether its words have room in it."""
    wide = frame.share(bar[1]) - frame.share(bar[0])
    return wide * frame.plot_px >= wide_px(say("lamp hours")) + 8


def light_panel(vessel: VesselNight, frame: Frame, height_px: int) -> Pane:
    """The measured light with the limit from which the lamp counts as lit."""
    lux = vessel.light_unit == "lux"
    name = say("Light, lux") if lux else say("Light, {percent} of full", percent="%")
    limit = amounts.light(vessel.low_light, vessel.light_unit or "lux")
    said = say("dashed: lit from {limit}", limit=limit)
    return Pane(name, (said,), height_px, partial(draw_light, vessel, frame))


def draw_light(vessel: VesselNight, frame: Frame, axes: Axes) -> None:
    """The light on its scale."""
    scale = 1.0 if vessel.light_unit == "lux" else 100.0
    line = line_of(vessel.light, frame, lambda value: value * scale)
    placed = [(frame.share(at), value) for at, value in line if value is not None]
    limit = vessel.low_light * scale
    top = max([1.0, limit * 1.6] + [value * 1.15 for _, value in placed])
    if vessel.light_unit == "lux":
        # Room light and sunlight differ a thousandfold: each step of this scale is ten times as bright.
        axes.set_yscale("symlog", linthresh=10.0, linscale=0.4)
        axes.set_ylim(0.0, top * 1.3)
        axes.yaxis.set_major_locator(FixedLocator([lux for lux in BRIGHTNESS if lux <= top * 1.3]))
        axes.yaxis.set_major_formatter(
            FuncFormatter(lambda lux, _: say(BRIGHTNESS[lux]) if lux in BRIGHTNESS else "")
        )
        axes.yaxis.set_minor_locator(NullLocator())
    else:
        axes.set_ylim(0.0, min(top, _FULL_PERCENT))
        axes.yaxis.set_major_locator(MaxNLocator(3, integer=True))
    draw_line(axes, line, LIGHT, 2.2)
    gaps = (
        night.gaps(vessel.light, Span(frame.began, frame.ended)) if placed else [(frame.began, frame.ended)]
    )
    axes.axhline(limit, color=QUIET, linewidth=1.3, linestyle="--", zorder=3)
    hatch_gaps(axes, frame, gaps)
    if not placed:
        say_nothing_known(axes, say("no readings of the light"))
