"""Pages of A4 with words and charts, as one PDF whose fonts are in it: the same content, the same bytes."""

import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from PIL import Image

from reports import words
from reports.chart.palette import INK, QUIET, RULE
from reports.chart.sheet import own_style
from reports.chart.type import DPI, wide_px
from reports.language import say

# A4, ISO 216, in points of 1/72 inch, and margins that every printer leaves.
WIDTH_PT, HEIGHT_PT = 595.28, 841.89
_SIDE_PT, _TOP_PT, _BOTTOM_PT = 54.0, 50.0, 54.0
_ROOM_PT = WIDTH_PT - 2 * _SIDE_PT
# A chart of 720 px is drawn so fine that print shows no steps.
_PRINT_DPI = 200
# Of a page a chart takes no more than this, so that it does not stand alone under a line.
_MOST_CHART_PT = HEIGHT_PT - _TOP_PT - _BOTTOM_PT - 8.0
_FIRST_COLUMN = 0.38
_GAP_PT = 10.0
# A heading does not stand alone at the foot of a page.
_KEEP_PT = 64.0

Chart = Callable[[], Figure]


@dataclass(frozen=True, slots=True)
class _Style:
    size: float
    above_pt: float
    bold: bool = False
    indent_pt: float = 0.0
    colour: str = INK
    bullet: str = ""

    @property
    def line_pt(self) -> float:
        return self.size * 1.36


_STYLES = {
    "title": _Style(17.0, 0.0, bold=True),
    "part": _Style(15.0, 22.0, bold=True),
    "heading": _Style(13.0, 13.0, bold=True),
    "subheading": _Style(10.2, 7.0, bold=True),
    "text": _Style(10.2, 5.0),
    "fact": _Style(10.2, 2.0, indent_pt=12.0, bullet="•"),
    "care": _Style(10.2, 6.0, bold=True),
    "head": _Style(9.4, 7.0, bold=True),
    "row": _Style(9.4, 3.0),
    "foot": _Style(9.0, 12.0, colour=QUIET),
}


@dataclass(slots=True)
class _Page:
    """What stands on a page: words at their places from its top, rules, and charts in their boxes."""

    words: list[tuple[float, float, str, _Style]] = field(default_factory=list)
    rules: list[float] = field(default_factory=list)
    charts: list[tuple[float, float, float, str]] = field(default_factory=list)


def draw_paper(title: str, lines: Sequence[tuple[str, Sequence[str]]], charts: Mapping[str, Chart]) -> bytes:
    """The PDF. A line is what it is set as, and its cells; a "picture" names one of the charts."""
    with own_style():
        sizes = {name: _size_pt(chart()) for name, chart in charts.items()}
        pages = _Flow(sizes).flow(lines)
        drawn = io.BytesIO()
        notes: Any = {"Title": title, "Creator": "naupliad", "Producer": None, "CreationDate": None}
        with mpl.rc_context({"pdf.fonttype": 42}), PdfPages(drawn, metadata=notes) as pdf:
            for place, page in enumerate(pages, 1):
                pdf.savefig(_drawn(page, place, len(pages), charts))
    return drawn.getvalue()


def _size_pt(figure: Figure) -> tuple[float, float]:
    """As large as it fits on a page, in points."""
    wide, high = (float(inches) * 72 for inches in figure.get_size_inches())
    scale = min(_ROOM_PT / wide, _MOST_CHART_PT / high, 1.0)
    return wide * scale, high * scale


class _Flow:
    """Sets lines below each other, page after page. A chart that does not fit below comes on the next page:
    the words after it go on where it did not fit.
    """

    def __init__(self, sizes: Mapping[str, tuple[float, float]]) -> None:
        self._sizes = sizes
        self._pages = [_Page()]
        self._at = _TOP_PT
        self._waiting: list[str] = []

    def flow(self, lines: Sequence[tuple[str, Sequence[str]]]) -> list[_Page]:
        """The pages; there is at least one."""
        for kind, cells in lines:
            if kind == "picture":
                self._chart(cells[0])
            else:
                self._row(_STYLES[kind], cells, ruled=kind in ("head", "row"))
        while self._waiting:
            self._turn()
        return self._pages

    def _row(self, style: _Style, cells: Sequence[str], *, ruled: bool) -> None:
        columns = [
            (left, wrapped_pt(cell, wide - style.indent_pt, style))
            for cell, (left, wide) in zip(cells, _columns(len(cells)), strict=True)
        ]
        high = max(len(lines) for _, lines in columns) * style.line_pt
        self._room(style, high)
        for left, lines in columns:
            if style.bullet:
                self._pages[-1].words.append((left, self._at, style.bullet, style))
            for place, line in enumerate(lines):
                at = self._at + place * style.line_pt
                self._pages[-1].words.append((left + style.indent_pt, at, line, style))
        self._at += high
        if ruled:
            self._at += 3.0
            self._pages[-1].rules.append(self._at)

    def _room(self, style: _Style, high: float) -> None:
        """Go on below, or on a new page where this does not fit there."""
        self._at += style.above_pt if self._at > _TOP_PT else 0.0
        needed = high + (_KEEP_PT if style.bold and style.size > 10.0 else 0.0)
        while self._at + needed > HEIGHT_PT - _BOTTOM_PT and self._at > _TOP_PT:
            self._turn()

    def _turn(self) -> None:
        """A new page, with the charts that wait at its top."""
        self._pages.append(_Page())
        self._at = _TOP_PT
        waiting, self._waiting = self._waiting, []
        for name in waiting:
            if not self._set_chart(name):
                self._waiting.append(name)

    def _chart(self, name: str) -> None:
        if self._waiting or not self._set_chart(name):
            self._waiting.append(name)

    def _set_chart(self, name: str) -> bool:
        """Put a chart here; whether there was room for it."""
        wide, high = self._sizes[name]
        top = self._at + (10.0 if self._at > _TOP_PT else 0.0)
        if top + high > HEIGHT_PT - _BOTTOM_PT and self._at > _TOP_PT:
            return False
        self._pages[-1].charts.append((top, wide, high, name))
        self._at = top + high
        return True


def _columns(count: int) -> Iterator[tuple[float, float]]:
    """Where each column begins and how wide it is: the first holds the names."""
    if count == 1:
        yield _SIDE_PT, _ROOM_PT
        return
    yield _SIDE_PT, _FIRST_COLUMN * _ROOM_PT - _GAP_PT
    wide = (1 - _FIRST_COLUMN) * _ROOM_PT / (count - 1)
    for place in range(count - 1):
        yield _SIDE_PT + _FIRST_COLUMN * _ROOM_PT + place * wide, wide - _GAP_PT


def wrapped_pt(text: str, most_pt: float, style: _Style) -> list[str]:
    """The words in lines that are no wider than so many points; what is longer is broken."""
    lines = [""]
    for word in words.clean(text).split():
        longer = f"{lines[-1]} {word}".strip()
        if _wide_pt(longer, style) <= most_pt:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        pieces = _broken(word, most_pt, style)
        lines[-1:] = pieces
    return lines


def _broken(word: str, most_pt: float, style: _Style) -> list[str]:
    pieces = [""]
    for letter in word:
        if pieces[-1] and _wide_pt(pieces[-1] + letter, style) > most_pt:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def _wide_pt(text: str, style: _Style) -> float:
    return wide_px(text, style.size, bold=style.bold) * 72 / DPI


def _drawn(page: _Page, place: int, count: int, charts: Mapping[str, Chart]) -> Figure:
    figure = Figure(figsize=(WIDTH_PT / 72, HEIGHT_PT / 72), dpi=72)
    for left, top, text, style in page.words:
        figure.text(
            left / WIDTH_PT,
            1 - (top + style.size) / HEIGHT_PT,
            text,
            va="baseline",
            fontsize=style.size,
            fontweight="bold" if style.bold else "normal",
            color=style.colour,
        )
    for at in page.rules:
        _rule(figure, at)
    for top, wide, high, name in page.charts:
        box = (_SIDE_PT / WIDTH_PT, 1 - (top + high) / HEIGHT_PT, wide / WIDTH_PT, high / HEIGHT_PT)
        axes = figure.add_axes(box)
        axes.set_axis_off()
        axes.imshow(_pixels(charts[name]()), aspect="auto", interpolation="none")
    number = say("Page {place} of {count}", place=place, count=count)
    figure.text(1 - _SIDE_PT / WIDTH_PT, 28.0 / HEIGHT_PT, number, ha="right", fontsize=9.0, color=QUIET)
    return figure


def _rule(figure: Figure, at: float) -> None:
    from matplotlib.lines import Line2D

    ends = (_SIDE_PT / WIDTH_PT, 1 - _SIDE_PT / WIDTH_PT)
    height = 1 - at / HEIGHT_PT
    figure.add_artist(Line2D(ends, (height, height), color=RULE, linewidth=0.6))


def _pixels(figure: Figure) -> Any:
    figure.set_dpi(_PRINT_DPI)
    canvas = FigureCanvasAgg(figure)
    canvas.draw()  # type: ignore[no-untyped-call]  # as in picture.py
    lies = canvas.buffer_rgba()  # type: ignore[no-untyped-call]
    drawn = Image.frombuffer("RGBA", canvas.get_width_height(), lies, "raw", "RGBA", 0, 1).convert("RGB")
    return np.asarray(drawn)
