"""The few SVG elements that charts are made of, without a style attribute: what they look like says plot.css.

A plot's own pixels are the window's: x is a share of the width in percent, y is in px. Only paths stand in a
stretched box inside of it, so words and hatches keep their form at every width.
"""

from collections.abc import Iterable
from html import escape

from reports.page.plot.span import COLUMNS
from reports.page.plot.ticks import Tick
from reports.words import clean

_LINE_PX = 16


def percent(share: float) -> str:
    """ "41.67%"."""
    return f"{100 * share:.2f}".rstrip("0").rstrip(".") + "%"


def said(text: str) -> str:
    """Text as it may stand in a page."""
    return escape(clean(text))


def words(share: float, y_px: int, text: str, style: str = "", anchor: str = "") -> str:
    """Words at a place; they begin there, or end there (`end`), or have their middle there (`middle`)."""
    ends = f' text-anchor="{anchor}"' if anchor else ""
    return f'<text x="{percent(share)}" y="{y_px}"{_class(style)}{ends}>{said(text)}</text>'


def stretch(began: float, ended: float, y_px: int, height_px: int, style: str, fill: str = "") -> str:
    """A box from one share of the width to another."""
    filled = f' fill="{fill}"' if fill else ""
    wide = percent(max(ended - began, 0.0))
    return (
        f'<rect x="{percent(began)}" y="{y_px}" width="{wide}" height="{height_px}"{_class(style)}{filled}/>'
    )


def level_line(y_px: int, style: str, began: float = 0.0, ended: float = 1.0) -> str:
    """A line across."""
    return f'<line x1="{percent(began)}" x2="{percent(ended)}" y1="{y_px}" y2="{y_px}"{_class(style)}/>'


def upright(share: float, height_px: int, style: str) -> str:
    """A line from top to foot."""
    return f'<line x1="{percent(share)}" x2="{percent(share)}" y2="{height_px}"{_class(style)}/>'


def stretched(height_px: int, paths: str) -> str:
    """Paths in columns and pixels, as wide as the plot is."""
    if not paths:
        return ""
    box = f'viewBox="0 0 {COLUMNS} {height_px}" preserveAspectRatio="none" width="100%" height="{height_px}"'
    return f"<svg {box}>{paths}</svg>"


def drawn(path: str, style: str) -> str:
    """A path, where there is one."""
    return f'<path d="{path}"{_class(style)}/>' if path else ""


def plot(height_px: int, *content: str) -> str:
    """A plot as wide as there is room."""
    return f'<svg class="plot-field" width="100%" height="{height_px}">{"".join(content)}</svg>'


def gutter(height_px: int, labels: Iterable[tuple[int, str]]) -> str:
    """What stands left of a plot, each at its height."""
    texts = "".join(f'<text x="52" y="{_inside(y, height_px)}">{said(text)}</text>' for y, text in labels)
    return f'<svg class="plot-gutter" width="56" height="{height_px}">{texts}</svg>'


def _inside(y_px: int, height_px: int) -> int:
    return min(max(y_px + 4, 10), height_px - 1)


def clock_row(rows: Iterable[Iterable[Tick]], anchors: Iterable[str]) -> str:
    """The hours and days, a row each."""
    filled = [(list(row), anchor) for row, anchor in zip(rows, anchors, strict=True)]
    filled = [(row, anchor) for row, anchor in filled if row]
    texts = (
        words(tick.share, _LINE_PX * n + 12, tick.label, tick.only, anchor)
        for n, (row, anchor) in enumerate(filled)
        for tick in row
    )
    return row(gutter(_LINE_PX * len(filled), ()), plot(_LINE_PX * len(filled) + 2, *texts))


def row(left: str, right: str) -> str:
    """A gutter and its plot."""
    return f'<div class="plot-row">{left}{right}</div>'


def _class(style: str) -> str:
    return f' class="{style.strip()}"' if style.strip() else ""
