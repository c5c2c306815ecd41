"""A row of a comparison: a vessel, or several alike, with its water, what has hatched and the low mark."""

from datetime import datetime
from math import nan

from matplotlib.axes import Axes
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

from reports import amounts, night, words
from reports.chart.alarms import alarm_events
from reports.chart.finding import hatched, to_low_mark_ml, warmth
from reports.chart.frame import LEFT_PX, MARGIN_PX, RIGHT_PX, Frame, crossed, hatch_off, numbers, set_clock
from reports.chart.grouping import Group
from reports.chart.lines import draw_line, line_of
from reports.chart.palette import COMFORT, HATCH, INK, QUIET, WATER
from reports.chart.panel import Row
from reports.chart.type import LINE_PX, NAME_SIZE, SMALL_SIZE, WIDTH_PX, in_lines, wide_px, wrapped
from reports.language import say, say_in
from reports.letters.stages import is_emptied
from reports.records import NightRecord, Span

_HATCH_PX, _LEVEL_PX = 118, 96
PLOT_PX = WIDTH_PX - LEFT_PX - RIGHT_PX - _HATCH_PX - _LEVEL_PX
_ROW_PX = 58
_WORDS_PX = WIDTH_PX - 2 * MARGIN_PX
_MOST_NAME_LINES = 3
_ABOVE_PX, _BELOW_PX = 10, 5


def column_heads() -> Row:
    """The names of the columns, each on two lines at most."""
    columns = (
        (PLOT_PX + _HATCH_PX / 2 + 8, wrapped(say("hatched, %"), _HATCH_PX - 24)),
        (PLOT_PX + _HATCH_PX + _LEVEL_PX / 2 + 8, wrapped(say("mL to low mark"), _LEVEL_PX + 8)),
    )
    high_px = max(len(lines) for _, lines in columns) * LINE_PX

    def draw(axes: Axes) -> None:
        axes.set_axis_off()
        for middle_px, lines in columns:
            for n, line in enumerate(reversed(lines)):
                _word(axes, middle_px, n * LINE_PX, line, centred=True, base="bottom")

    return Row(0, high_px, draw)


def _word(
    axes: Axes,
    x_px: float,
    y_px: float,
    text: str,
    *,
    centred: bool = False,
    base: str = "center",
    bold: bool = False,
) -> None:
    """Words at a place in pixels from the lower left corner of the plot."""
    axes.text(
        x_px / axes.bbox.width,
        y_px / axes.bbox.height,
        text,
        transform=axes.transAxes,
        ha="center" if centred else "left",
        va=base,
        fontsize=NAME_SIZE if bold else SMALL_SIZE,
        fontweight="bold" if bold else "normal",
        color=INK,
    )


def group_row(group: Group, record: NightRecord, frame: Frame, *, last: bool) -> Row:
    """A vessel, or several alike: name and finding, the water, what has hatched, how far the low mark is."""
    names = _name_lines(group)
    found = in_lines(
        (*warmth(group, record), *_open_alarms(group)),
        _WORDS_PX - wide_px(names[-1], NAME_SIZE, bold=True) - 2 * MARGIN_PX,
        _WORDS_PX,
    )
    lines = len(names) + len(found) - 1

    def draw(axes: Axes) -> None:
        set_clock(axes, frame, labelled=last)
        _draw_water(axes, group, frame)
        hatch_off(axes, frame)
        _draw_signs(axes, group, frame)
        _draw_hatched(axes, group)
        _draw_level(axes, group)
        for n, line in enumerate(names):
            _word(axes, MARGIN_PX - LEFT_PX, _above(lines - n), line, base="bottom", bold=True)
        for n, line in enumerate(found):
            at = _above(lines - len(names) + 1 - n)
            axes.text(
                (WIDTH_PX - MARGIN_PX - LEFT_PX) / axes.bbox.width,
                at / axes.bbox.height,
                line,
                transform=axes.transAxes,
                ha="right",
                va="bottom",
                fontsize=SMALL_SIZE,
                color=INK,
            )

    return Row(_ABOVE_PX + lines * LINE_PX + _BELOW_PX, _ROW_PX, draw)


def _above(lines: int) -> float:
    """The foot of the line of words that is so many lines above the plot, pixels from its lower edge."""
    return _ROW_PX + _BELOW_PX + (lines - 1) * LINE_PX


def _name_lines(group: Group) -> list[str]:
    names = [words.vessel_name(words.shortened(vessel.vessel, 30), vessel.count) for vessel in group]
    lines = wrapped(words.joined(names), _WORDS_PX, NAME_SIZE, bold=True)
    if len(lines) <= _MOST_NAME_LINES:
        return lines
    kept = len(names)
    while kept > 1 and len(lines) > _MOST_NAME_LINES:
        kept -= 1
        more = say("{names} and {count} more", names=", ".join(names[:kept]), count=len(names) - kept)
        lines = wrapped(more, _WORDS_PX, NAME_SIZE, bold=True)
    return lines[:_MOST_NAME_LINES]


def _open_alarms(group: Group) -> list[str]:
    """What stands beside what the figures say already."""
    texts = [
        alarm.text for vessel in group for alarm in vessel.open_alarms if alarm.kind not in ("cold", "hot")
    ]
    return [f"✕ {words.shortened(text, 40)}" for text in dict.fromkeys(texts)]


def _draw_water(axes: Axes, group: Group, frame: Frame) -> None:
    cold, hot = (amounts.in_unit(limit, frame.unit) for limit in (group[0].cold_c, group[0].hot_c))
    axes.set_ylim(*frame.water_limits)
    low, high = frame.water_limits
    apart = (hot - cold) / (high - low) * _ROW_PX >= LINE_PX - 5
    axes.yaxis.set_major_locator(FixedLocator([cold, hot] if apart else [cold]))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{amounts.number(value)}°"))
    axes.axhspan(cold, hot, facecolor=COMFORT, zorder=0.5)
    for limit in (cold, hot):
        axes.axhline(limit, color=QUIET, linewidth=1.0, linestyle=":", zorder=3)
    for vessel in group:
        line = line_of(vessel.water_c, frame, lambda value: amounts.in_unit(value, frame.unit))
        draw_line(axes, line, WATER, 2.2 if len(group) == 1 else 1.4)
        at = numbers(moment for moment, _ in line)
        values = [nan if value is None else value for _, value in line]
        for limit, pattern, beyond in (
            (cold, "////", [value < cold for value in values]),
            (hot, "\\\\\\\\", [value > hot for value in values]),
        ):
            axes.fill_between(
                at,
                limit,
                values,
                where=beyond,
                facecolor="none",
                edgecolor=INK,
                hatch=pattern,
                linewidth=0.0,
                zorder=2,
            )
    unread = _unread_by_all(group, Span(frame.began, frame.ended))
    for began, ended in night.without(unread, frame.off):
        crossed(axes, began, ended)


def _unread_by_all(group: Group, span: Span) -> list[tuple[datetime, datetime]]:
    """The gaps of the first; of several vessels a gap is drawn where none of them was read."""
    gaps = night.gaps(group[0].water_c, span)
    for vessel in group[1:]:
        others = night.gaps(vessel.water_c, span)
        gaps = [(max(a, c), min(b, d)) for a, b in gaps for c, d in others if max(a, c) < min(b, d)]
    return gaps


def _draw_signs(axes: Axes, group: Group, frame: Frame) -> None:
    """When alarms began that stand, at the upper edge; deeds at the lower."""
    for vessel in group:
        for sign, height, events in (("X", 0.9, alarm_events(vessel)), ("P", 0.1, vessel.deeds)):
            placed = [
                min(max(frame.share(event.at), 0.01), 1.0) for event in events if frame.share(event.at) <= 1.0
            ]
            axes.plot(
                placed,
                [height] * len(placed),
                sign,
                transform=axes.transAxes,
                color=INK,
                markeredgecolor="white",
                markersize=9,
                clip_on=False,
                zorder=6,
            )


def _draw_hatched(axes: Axes, group: Group) -> None:
    """The range as figures over a bar from 0 to 100 %."""
    left_px, wide_bar_px, middle_px = PLOT_PX + 16, _HATCH_PX - 16, PLOT_PX + 8 + _HATCH_PX / 2
    share = hatched(group)
    if all(is_emptied(vessel) for vessel in group):
        _word(axes, middle_px, _ROW_PX / 2, say("drawn off"), centred=True)
        return
    if share is None:
        _word(axes, middle_px, _ROW_PX / 2, "–", centred=True)
        return
    low, middle, high = (100 * min(max(value, 0.0), 1.0) for value in (share.p10, share.p50, share.p90))
    _word(axes, middle_px, _ROW_PX - 16, amounts.bare_span(low, high), centred=True)
    bar = axes.inset_axes((left_px / PLOT_PX, 6 / _ROW_PX, wide_bar_px / PLOT_PX, 18 / _ROW_PX))
    bar.set_xlim(0, 100)
    bar.set_ylim(0, 1)
    bar.xaxis.set_major_locator(NullLocator())
    bar.yaxis.set_major_locator(NullLocator())
    for spine in bar.spines.values():
        spine.set(visible=True, color=QUIET)
    bar.axvspan(low, high, facecolor=HATCH, alpha=0.45, linewidth=0.0)
    bar.axvline(middle, color=HATCH, linewidth=3.0)


def _draw_level(axes: Axes, group: Group) -> None:
    """The least of the group; what to pour where the low mark is reached."""
    middle_px = PLOT_PX + _HATCH_PX + _LEVEL_PX / 2 + 8
    known = [
        (ml, vessel)
        for vessel in group
        if (ml := to_low_mark_ml(vessel)) is not None and not is_emptied(vessel)
    ]
    if not known:
        _word(axes, middle_px, _ROW_PX / 2, "–", centred=True)
        return
    least_ml, lowest = min(known, key=lambda one: one[0])
    if least_ml > 0.0:
        _word(axes, middle_px, _ROW_PX / 2, amounts.number(least_ml), centred=True)
        return
    _word(axes, middle_px, _ROW_PX - 16, amounts.number(least_ml), centred=True, bold=True)
    if lowest.fill_ml >= 1.0:
        _word(
            axes,
            middle_px,
            16,
            say_in("in a narrow column", "pour {amount}", amount=amounts.number(lowest.fill_ml)),
            centred=True,
        )
