"""The night chart: every vessel's last day and night, one below the other, on one clock.

Drawn for a phone held upright as well as for a desk: one column 1000 pixels wide with large letters, every
row at its place in whole pixels. Colour never stands alone: lines, bands, hatches and signs differ in shape
and carry words.
"""

import io
import warnings
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import NullLocator
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from reports import night, times, words
from reports.chart.alarms import alarm_events
from reports.chart.calculated import draw_hatch, draw_level, draw_salt
from reports.chart.event_strip import Strip, draw_strip, laid_out, strip_height_px
from reports.chart.frame import (
    DPI,
    INK,
    LEFT_PX,
    PLOT_PX,
    TICK_SIZE,
    TITLE_SIZE,
    WIDTH_PX,
    Frame,
    fitted_size,
    frame_of,
    hatch_off,
    say_nothing_known,
    set_clock,
)
from reports.chart.measured import draw_light, draw_water
from reports.language import in_its_language, say, to_say
from reports.records import NightRecord, Span, VesselNight

_HEAD_PX = 64
_NAME_PX = 40
_HOURS_PX = 72
_FOOT_PX = 70
_TITLE_PX = 44
_MARGIN_PX = 16
# Full panels for a vessel or two; lower ones from three on, so that eight still make one picture.
_FULL_PX = {"water": 250, "light": 120, "level": 170, "salt": 110, "hatch": 140}
_LOW_PX = {"water": 150, "light": 80, "level": 100, "salt": 70, "hatch": 90}
_BARE_LAMP_PX = 22
_COLOURS = 255
_FOOT = to_say(
    "Hours are local. Level, salt and hatch are calculated, not measured:\n"
    "a pale band holds what is believed with eight chances in ten, the line is its middle."
)

_STYLE: Any = {  # its keys are literals that differ between matplotlib's versions
    "font.family": "DejaVu Sans",
    "font.size": 14.0,
    "axes.titlesize": TITLE_SIZE,
    "axes.titlepad": 7.0,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.edgecolor": "#555555",
    "text.parse_math": False,
    "hatch.linewidth": 0.8,
}

_DrawPanel = Callable[[Axes, VesselNight, Frame], None]


@dataclass(frozen=True, slots=True)
class _Row:
    """A row of the picture: room for words above it, its own height, and what draws it (None: a space)."""

    above_px: int
    height_px: int
    draw: Callable[[Axes], None] | None


@in_its_language
def draw_night(record: NightRecord) -> bytes:
    """The chart as PNG, as large as `chart_size_px` says. The same record gives the same bytes."""
    with _own_style():
        return _drawn(record)


@in_its_language
def chart_size_px(record: NightRecord) -> tuple[int, int]:
    """Width and height of the record's chart."""
    with _own_style():
        return WIDTH_PX, _height_px(_rows(record, frame_of(record)))


@contextmanager
def _own_style() -> Iterator[None]:
    """Our own style, whatever a user's matplotlibrc says, so that the same record gives the same picture."""
    with mpl.rc_context(), warnings.catch_warnings():
        mpl.rcdefaults()
        mpl.rcParams.update(_STYLE)
        # A name may hold a sign that the font lacks: it is drawn as a box, and that is no fault of the night.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        yield


def _height_px(rows: list[_Row]) -> int:
    return _HEAD_PX + sum(row.above_px + row.height_px for row in rows) + _FOOT_PX


def _drawn(record: NightRecord) -> bytes:
    rows = _rows(record, frame_of(record))
    height = _height_px(rows)
    figure = Figure(figsize=(WIDTH_PX / DPI, height / DPI), dpi=DPI)
    left, title = _MARGIN_PX / WIDTH_PX, _title(record)
    size = fitted_size(title, 20.0, WIDTH_PX - 2 * _MARGIN_PX, bold=True)
    figure.text(left, 1 - 14 / height, title, va="top", fontsize=size, fontweight="bold", color=INK)
    bottom_px = height - _HEAD_PX
    for row in rows:
        bottom_px -= row.above_px + row.height_px
        if row.draw is not None:
            box = (LEFT_PX / WIDTH_PX, bottom_px / height, PLOT_PX / WIDTH_PX, row.height_px / height)
            row.draw(figure.add_axes(box))
    foot = _foot(record)
    size = min(fitted_size(line, 13.0, WIDTH_PX - 2 * _MARGIN_PX) for line in foot.split("\n"))
    figure.text(left, 10 / height, foot, va="bottom", fontsize=size, linespacing=1.25, color=INK)
    return _png(figure)


def _png(figure: Figure) -> bytes:
    """A picture of few colours: a quarter of the bytes of a full one, for slow lines and small mail boxes."""
    raw = io.BytesIO()
    figure.savefig(raw, format="rgba", dpi=DPI)
    size_px = (round(figure.bbox.width), round(figure.bbox.height))
    drawn = Image.frombytes("RGBA", size_px, raw.getvalue()).convert("RGB")
    notes = PngInfo()
    notes.add_text("Software", "naupliad")
    picture = io.BytesIO()
    drawn.quantize(_COLOURS, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(
        picture, format="PNG", pnginfo=notes
    )
    return picture.getvalue()


def _title(record: NightRecord) -> str:
    began, ended = (
        f"{times.short_day(at)} {times.clock(at)}" for at in (record.span.began, record.span.ended)
    )
    station = words.shortened(record.station, 24)
    return say("{station}: {began} to {ended}", station=station, began=began, ended=ended)


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


def _rows(record: NightRecord, frame: Frame) -> list[_Row]:
    heights = _FULL_PX if len(record.vessels) <= 2 else _LOW_PX
    rows = [row for vessel in record.vessels for row in _vessel_rows(vessel, frame, heights)]
    if not record.vessels:
        rows += [_Row(0, 120, lambda axes: _draw_no_vessel(axes, frame)), _Row(0, _HOURS_PX, None)]
    return [*rows, *_strip_rows(say("said"), laid_out(record.letters, frame), "s")]


def _vessel_rows(vessel: VesselNight, frame: Frame, heights: Mapping[str, int]) -> list[_Row]:
    panels: dict[str, _DrawPanel] = {"water": draw_water}
    if vessel.lamp_hours or vessel.light_unit is not None:
        panels["light"] = draw_light
    if vessel.batch_set_at is not None or vessel.loss_ml or vessel.hatched_fraction:
        panels |= {"level": draw_level, "salt": draw_salt, "hatch": draw_hatch}
    last = list(panels)[-1]
    rows = [_Row(0, _NAME_PX, lambda axes: _draw_name(axes, vessel))]
    for name, draw in panels.items():
        bare = name == "light" and vessel.light_unit is None
        high = _BARE_LAMP_PX if bare else heights[name]
        rows.append(_Row(_TITLE_PX, high, _panel(vessel, frame, draw, labelled=name == last)))
    rows.append(_Row(0, _HOURS_PX, None))
    if alarms := alarm_events(vessel):
        rows += _strip_rows(say("alarm"), laid_out(alarms, frame, last_on=True), "X")
    return [*rows, *_strip_rows(say("done"), laid_out(vessel.deeds, frame), "^")]


def _panel(vessel: VesselNight, frame: Frame, draw: _DrawPanel, *, labelled: bool) -> Callable[[Axes], None]:
    def drawn(axes: Axes) -> None:
        set_clock(axes, frame, labelled=labelled)
        axes.tick_params(axis="y", labelsize=TICK_SIZE, labelcolor=INK)
        draw(axes, vessel, frame)
        hatch_off(axes, frame)

    return drawn


def _draw_name(axes: Axes, vessel: VesselNight) -> None:
    set_at = vessel.batch_set_at
    name = words.vessel_name(words.shortened(vessel.vessel, 30), vessel.count)
    title = (
        say("{name}, no batch running", name=name)
        if set_at is None
        else say("{name}, set {when}", name=name, when=f"{times.short_day(set_at)} {times.clock(set_at)}")
    )
    axes.set_axis_off()
    axes.set_xlim(0, PLOT_PX)
    axes.set_ylim(0, 1)
    axes.axhline(1.0, xmin=(_MARGIN_PX - LEFT_PX) / PLOT_PX, color="#999999", linewidth=1.5, clip_on=False)
    size = fitted_size(title, 17.0, PLOT_PX, bold=True)
    axes.text(_MARGIN_PX - LEFT_PX, 0.4, title, va="center", fontsize=size, fontweight="bold", color=INK)


def _draw_no_vessel(axes: Axes, frame: Frame) -> None:
    set_clock(axes, frame, labelled=True)
    axes.yaxis.set_major_locator(NullLocator())
    say_nothing_known(axes, say("no vessel at this station"))


def _strip_rows(name: str, strip: Strip, marker: str) -> list[_Row]:
    height = strip_height_px(strip)
    return [_Row(0, height, lambda axes: draw_strip(axes, name, strip, marker)), _Row(0, _MARGIN_PX, None)]
