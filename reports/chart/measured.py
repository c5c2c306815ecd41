"""The panels of what is measured in one vessel: water and light, each on its own scale."""

from datetime import timedelta

from matplotlib.axes import Axes
from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator, NullLocator

from reports import amounts, night, times
from reports.chart.frame import (
    BLUE,
    BROWN,
    INK,
    Frame,
    caption,
    hatch_gaps,
    numbers,
    say_nothing_known,
)
from reports.chart.lines import draw_line, limit_line, line_of
from reports.language import say, to_say
from reports.records import Span, VesselNight

_HOURS_ONLY = to_say("yellow: lamp hours; light is not measured")
_NOTHING = to_say("no lamp hours; light is not measured")
_LIT, _DARK, _UNSEEN = to_say("{length} lit"), to_say("{length} dark"), to_say("{length} not seen")
_LUX_TICKS = (0, 10, 100, 1000, 10000, 100000)


def draw_water(axes: Axes, vessel: VesselNight, frame: Frame) -> None:
    """Water temperature in the set unit, with the band of comfort, the coldest, warmest and last reading."""
    cold, hot = (amounts.in_unit(limit, frame.unit) for limit in (vessel.cold_c, vessel.hot_c))
    axes.set_ylim(*frame.water_limits)
    axes.yaxis.set_major_locator(MaxNLocator(5, integer=True))
    axes.axhspan(cold, hot, facecolor="#dff0d8", zorder=0.5)
    line = line_of(vessel.water_c, frame, lambda value: amounts.in_unit(value, frame.unit))
    draw_line(axes, line, BLUE, 2.6)
    placed = [(frame.share(at), value) for at, value in line if value is not None]
    limit_line(axes, cold, say("cold below {limit}", limit=amounts.number(cold, 1)), placed, style=":")
    limit_line(axes, hot, say("hot above {limit}", limit=amounts.number(hot, 1)), placed, style=":")
    extremes = _mark_extremes(axes, vessel, frame)
    caption(axes, say("Water, °{unit}", unit=frame.unit), extremes)
    gaps = night.gaps(vessel.water_c, Span(frame.began, frame.ended))
    hatch_gaps(axes, frame, gaps if placed else [(frame.began, frame.ended)])
    if not placed:
        say_nothing_known(axes, say("no readings of the water"))


def _mark_extremes(axes: Axes, vessel: VesselNight, frame: Frame) -> str:
    seen = night.extremes(vessel.water_c)
    if seen is None:
        return ""
    marks = []
    marked = (
        ("▼", "v", say("coldest"), seen.coldest),
        ("▲", "^", say("warmest"), seen.warmest),
        ("●", "o", say("last"), seen.latest),
    )
    for sign, marker, name, point in marked:
        value = amounts.in_unit(point.value or 0.0, frame.unit)
        at = night.moment_utc(point.at)
        axes.plot(numbers([at]), [value], marker, color=INK, markersize=9, zorder=6, clip_on=False)
        marks.append(f"{sign} {name} {amounts.number(value, 1)} ({times.clock(at.astimezone(frame.zone))})")
    return "  ".join(marks)


def draw_light(axes: Axes, vessel: VesselNight, frame: Frame) -> None:
    """Lamp hours as a band, the measured light with its limit; only the band where none is measured."""
    for lamp in vessel.lamp_hours:
        ends = (
            max(night.moment_utc(lamp.began), frame.began),
            min(night.moment_utc(lamp.ended), frame.ended),
        )
        if ends[0] < ends[1]:
            axes.axvspan(*numbers(ends), facecolor="#fff1c2", edgecolor="#d8b24a", linewidth=1.0, zorder=0.5)
    if vessel.light_unit is None:
        axes.yaxis.set_major_locator(NullLocator())
        caption(axes, say("Lamp"), say(_HOURS_ONLY if vessel.lamp_hours else _NOTHING))
        return
    placed = _measured_light(axes, vessel, frame)
    title = say("Light, lux") if vessel.light_unit == "lux" else say("Light, {percent} of full", percent="%")
    caption(axes, title, _lamp_seen(vessel, frame))
    gaps = night.gaps(vessel.light, Span(frame.began, frame.ended))
    hatch_gaps(axes, frame, gaps if placed else [(frame.began, frame.ended)])
    if not placed:
        say_nothing_known(axes, say("no readings of the light"))


def _lamp_seen(vessel: VesselNight, frame: Frame) -> str:
    if not vessel.lamp_hours:
        return say("no lamp hours")
    seen = night.lamp_seen(vessel, Span(frame.began, frame.ended))
    parts = ((seen.lit, _LIT), (seen.dark, _DARK), (seen.unseen, _UNSEEN))
    phrases = [
        say(sentence, length=_short(length)) for length, sentence in parts if length >= timedelta(minutes=1)
    ]
    return say("yellow: lamp hours, {seen}", seen=", ".join(phrases))


def _short(length: timedelta) -> str:
    hours, minutes = divmod(round(length.total_seconds() / 60), 60)
    return " ".join(
        part
        for part in (
            say("{count} h", count=hours) if hours else "",
            say("{count} min", count=minutes) if minutes else "",
        )
        if part
    )


def _measured_light(axes: Axes, vessel: VesselNight, frame: Frame) -> list[tuple[float, float]]:
    scale = 1.0 if vessel.light_unit == "lux" else 100.0
    line = line_of(vessel.light, frame, lambda value: value * scale)
    placed = [(frame.share(at), value) for at, value in line if value is not None]
    limit = vessel.low_light * scale
    top = max([1.0, limit * 1.6] + [value * 1.15 for _, value in placed])
    if vessel.light_unit == "lux":
        # Room light and sunlight differ a thousandfold: each step of this scale is ten times as bright.
        axes.set_yscale("symlog", linthresh=10.0, linscale=0.4)
        axes.set_ylim(0.0, top * 1.3)
        ticks = [tick for tick in _LUX_TICKS if tick <= top * 1.3]
        axes.yaxis.set_major_locator(FixedLocator([tick for tick in ticks if tick != 10]))
        axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:.0f}"))
        axes.yaxis.set_minor_locator(NullLocator())
    else:
        axes.set_ylim(0.0, top)
        axes.yaxis.set_major_locator(MaxNLocator(3, integer=True))
    draw_line(axes, line, BROWN, 2.2)
    limit_line(axes, limit, say("lit from {limit}", limit=amounts.number(limit)), placed, style="--")
    return placed
