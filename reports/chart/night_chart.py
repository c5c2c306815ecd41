"""The night chart: a station's last day and night, or a weekend, or a batch, on one clock.

Drawn for a phone held upright as well as for a desk and for paper: one column with large letters, every row
at its place in whole pixels. One vessel or two have all their panels; from three on each has a row.
"""

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import NullLocator

from reports import night, times, words
from reports.chart import comparison, sheet, small_row
from reports.chart.alarms import alarm_events
from reports.chart.alt_text import alt_text
from reports.chart.calculated import hatch_panel, level_panel, salt_panel
from reports.chart.event_strip import strip_rows
from reports.chart.frame import (
    HOURS_PX,
    LEFT_PX,
    MARGIN_PX,
    PLOT_PX,
    Frame,
    frame_of,
    say_nothing_known,
    set_clock,
)
from reports.chart.measured import lamp_panel, light_panel, water_panel
from reports.chart.palette import INK, RULE
from reports.chart.panel import Pane, Row, on_the_clock, panel_row, space
from reports.chart.picture import picture_of
from reports.chart.type import VESSEL_SIZE, cut, fitted_size
from reports.language import in_its_language, say, to_say
from reports.records import NightRecord, Span, VesselNight

# So many vessels are drawn in full.
_IN_FULL = 2
_WATER_PX, _LIGHT_PX, _LEVEL_PX, _SALT_PX, _HATCH_PX = 220, 104, 140, 90, 110
_NAME_PX = 40
_FOOT = to_say(
    "Hours are local. Level, salt and hatch are calculated, not measured: "
    "a pale band holds what is believed with eight chances in ten, the line is its middle."
)


@in_its_language
def draw_night(record: NightRecord, form: str = "png") -> bytes:
    """The chart as "png", "svg" or "pdf", of `chart_size_px`; of the same record the same bytes."""
    with sheet.own_style():
        title, rows, foot, frame = _laid_out(record)
        return picture_of(sheet.drawn(title, rows, foot, frame), form, title, alt_text(record))


@in_its_language
def figure_of(record: NightRecord) -> Figure:
    """The chart as a figure, for who sets it on a page; in `own_style`, which it must be drawn in too."""
    return sheet.drawn(*_laid_out(record))


@in_its_language
def chart_size_px(record: NightRecord) -> tuple[int, int]:
    """Width and height of the record's chart."""
    with sheet.own_style():
        title, rows, foot, _ = _laid_out(record)
        return sheet.size_px(title, rows, foot)


def _laid_out(record: NightRecord) -> tuple[str, list[Row], str, Frame]:
    if len(record.vessels) > _IN_FULL:
        frame = frame_of(record, small_row.PLOT_PX)
        return sheet.title_of(record), comparison.rows(record, frame), comparison.foot(record), frame
    frame = frame_of(record)
    return sheet.title_of(record), _rows(record, frame), _foot(record), frame


def _foot(record: NightRecord) -> str:
    striped = any(_has_gaps(vessel, record.span) for vessel in record.vessels)
    notes = [
        *([say("Striped: no readings.")] if striped else []),
        *([say("Crossed: station off.")] if record.outages else []),
        say(_FOOT),
    ]
    return " ".join(notes)


def _has_gaps(vessel: VesselNight, span: Span) -> bool:
    lit = () if vessel.light_unit is None else night.gaps(vessel.light, span)
    return bool(night.gaps(vessel.water_c, span) or lit)


def _rows(record: NightRecord, frame: Frame) -> list[Row]:
    rows = [row for vessel in record.vessels for row in _vessel_rows(vessel, frame)]
    if not record.vessels:
        rows += [Row(0, 120, lambda axes: _draw_no_vessel(axes, frame)), space(HOURS_PX)]
    return [*rows, *strip_rows(say("letters"), record.letters, frame, "s")]


def _vessel_rows(vessel: VesselNight, frame: Frame) -> list[Row]:
    panels = _panels(vessel, frame)
    rows = [Row(0, _NAME_PX, lambda axes: _draw_name(axes, vessel))]
    rows += [panel_row(on_the_clock(panel, frame, labelled=panel is panels[-1])) for panel in panels]
    rows.append(space(HOURS_PX))
    if alarms := alarm_events(vessel):
        rows += strip_rows(say("alarm"), alarms, frame, "X", last_on=True)
    return [*rows, *strip_rows(say("done"), vessel.deeds, frame, "P")]


def _panels(vessel: VesselNight, frame: Frame) -> list[Pane]:
    panels = [water_panel(vessel, frame, _WATER_PX)]
    if vessel.lamp_hours or vessel.light_unit is not None:
        panels.append(lamp_panel(vessel, frame))
    if vessel.light_unit is not None:
        panels.append(light_panel(vessel, frame, _LIGHT_PX))
    if vessel.batch_set_at is not None or vessel.loss_ml or vessel.hatched_fraction:
        panels += [
            level_panel(vessel, frame, _LEVEL_PX),
            salt_panel(vessel, frame, _SALT_PX),
            hatch_panel(vessel, frame, _HATCH_PX),
        ]
    return panels


def _draw_name(axes: Axes, vessel: VesselNight) -> None:
    set_at = vessel.batch_set_at
    name = words.vessel_name(words.shortened(vessel.vessel, 30), vessel.count)
    title = (
        say("{name}, no batch running", name=name)
        if set_at is None
        else say("{name}, set {when}", name=name, when=f"{times.short_day(set_at)} {times.clock(set_at)}")
    )
    whole_px = PLOT_PX + LEFT_PX - MARGIN_PX
    size = fitted_size(title, VESSEL_SIZE, whole_px, bold=True)
    axes.set_axis_off()
    axes.set_xlim(0, PLOT_PX)
    axes.set_ylim(0, 1)
    axes.axhline(1.0, xmin=(MARGIN_PX - LEFT_PX) / PLOT_PX, color=RULE, linewidth=1.5, clip_on=False)
    title = cut(title, whole_px, size, bold=True)
    axes.text(MARGIN_PX - LEFT_PX, 0.4, title, va="center", fontsize=size, fontweight="bold", color=INK)


def _draw_no_vessel(axes: Axes, frame: Frame) -> None:
    set_clock(axes, frame, labelled=True)
    axes.yaxis.set_major_locator(NullLocator())
    say_nothing_known(axes, say("no vessel at this station"))
