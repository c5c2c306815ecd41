"""The sheet: a title, rows below each other at whole pixels, a foot; in a style of its own."""

import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import matplotlib as mpl
from matplotlib.figure import Figure

from reports import times, words
from reports.chart.frame import LEFT_PX, MARGIN_PX, Frame
from reports.chart.palette import INK
from reports.chart.panel import Row
from reports.chart.type import DPI, LINE_PX, SMALL_SIZE, TITLE_SIZE, WIDTH_PX, fitted_size, wide_px, wrapped
from reports.language import say
from reports.records import NightRecord

WORDS_PX = WIDTH_PX - 2 * MARGIN_PX
_TITLE_LINE_PX = 32
_TOP_PX = 12
_FOOT_PX = 12

_STYLE: Any = {  # its keys are literals that differ between matplotlib's versions
    "font.family": "DejaVu Sans",
    "font.size": SMALL_SIZE,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.edgecolor": "#555555",
    "ytick.labelsize": SMALL_SIZE,
    "ytick.labelcolor": INK,
    "text.parse_math": False,
    "hatch.linewidth": 0.8,
}


@contextmanager
def own_style() -> Iterator[None]:
    """Our own style, whatever a user's matplotlibrc says, so that the same record gives the same picture."""
    with mpl.rc_context(), warnings.catch_warnings():
        mpl.rcdefaults()
        mpl.rcParams.update(_STYLE)
        # A name may hold a sign that the font lacks: it is drawn as a box, and that is no fault of the night.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        yield


def title_of(record: NightRecord) -> str:
    """ "Room 12: Fri 15 Jan 20:00 to Sat 16 Jan 20:00"."""
    began, ended = (
        f"{times.short_day(at)} {times.clock(at)}" for at in (record.span.began, record.span.ended)
    )
    return say(
        "{station}: {began} to {ended}", station=words.shortened(record.station, 24), began=began, ended=ended
    )


def size_px(title: str, rows: Sequence[Row], foot: str) -> tuple[int, int]:
    """Width and height of the sheet."""
    inner = sum(row.above_px + row.height_px for row in rows)
    return WIDTH_PX, _head_px(title) + inner + len(_foot_lines(foot)) * LINE_PX + _FOOT_PX


def drawn(title: str, rows: Sequence[Row], foot: str, frame: Frame) -> Figure:
    """The sheet as a figure."""
    _, height = size_px(title, rows, foot)
    figure = Figure(figsize=(WIDTH_PX / DPI, height / DPI), dpi=DPI)
    left = MARGIN_PX / WIDTH_PX
    lines, size = _title_lines(title)
    for n, line in enumerate(lines):
        at = 1 - (_TOP_PX + n * _TITLE_LINE_PX) / height
        figure.text(left, at, line, va="top", fontsize=size, fontweight="bold", color=INK)
    bottom_px = height - _head_px(title)
    for row in rows:
        bottom_px -= row.above_px + row.height_px
        if row.draw is not None:
            box = (LEFT_PX / WIDTH_PX, bottom_px / height, frame.plot_px / WIDTH_PX, row.height_px / height)
            row.draw(figure.add_axes(box))
    for n, line in enumerate(reversed(_foot_lines(foot))):
        at = (_FOOT_PX + n * LINE_PX) / height
        figure.text(left, at, line, va="bottom", fontsize=SMALL_SIZE, color=INK)
    return figure


def _head_px(title: str) -> int:
    return _TOP_PX + len(_title_lines(title)[0]) * _TITLE_LINE_PX + 4


def _title_lines(title: str) -> tuple[list[str], float]:
    size = fitted_size(title, TITLE_SIZE, WORDS_PX, bold=True)
    if wide_px(title, size, bold=True) <= WORDS_PX:
        return [title], size
    return wrapped(title, WORDS_PX, TITLE_SIZE, bold=True), TITLE_SIZE


def _foot_lines(foot: str) -> list[str]:
    return wrapped(foot, WORDS_PX)
