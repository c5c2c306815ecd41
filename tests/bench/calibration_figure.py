"""The picture of the calibration page: claimed against observed shares, and how wide the ranges are."""

import io
from collections.abc import Sequence
from math import sqrt
from typing import Any

import matplotlib as mpl
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from reports.chart.palette import HATCH, INK, QUIET, SALT, WATER
from tests.kit.scores import LEVELS, QUANTITIES, Quantity, of, shares_below, width
from tests.kit.weekends import Record

TOP_UPS = (0, 1, 3)
BAND = "#e4e4e4"
# Apart for any eyes, as in the charts; shape and dashes say the same.
COLOURS = {0: SALT, 1: HATCH, 3: WATER}
MARKS = {0: "o", 1: "s", 3: "^"}
COLUMNS = 4
ROWS = -(-len(QUANTITIES) // COLUMNS)
WIDTH_IN, HEIGHT_IN, HEAD_IN = 10.0, 4.35 * ROWS + 1.1, 1.1
STYLE: Any = {
    "font.family": "DejaVu Sans",
    "font.size": 10.0,
    "axes.edgecolor": QUIET,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "svg.hashsalt": "naupliad calibration",
    "text.parse_math": False,
}


def draw(records: Sequence[Record], weekends: int) -> bytes:
    """The figure as SVG: the same records give the same bytes."""
    with mpl.rc_context(STYLE):
        figure = Figure(figsize=(WIDTH_IN, HEIGHT_IN))
        FigureCanvasAgg(figure)
        top, bottom = 1.0 - HEAD_IN / HEIGHT_IN, 0.45 / HEIGHT_IN
        bands = figure.add_gridspec(ROWS, 1, left=0.07, right=0.985, top=top, bottom=bottom, hspace=0.22)
        for place, quantity in enumerate(QUANTITIES):
            band, column = divmod(place, COLUMNS)
            rows = bands[band].subgridspec(2, 4, height_ratios=(2.1, 1.0), hspace=0.3, wspace=0.3)
            shares = figure.add_subplot(rows[0, column])
            widths = figure.add_subplot(rows[1, column])
            _draw_shares(shares, records, quantity, weekends, first=column == 0)
            _draw_widths(widths, records, quantity, first=column == 0)
        _say(figure, weekends)
        out = io.BytesIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return _trimmed(out.getvalue())


def _trimmed(svg: bytes) -> bytes:
    """Without spaces at the ends of lines."""
    return b"\n".join(line.rstrip() for line in svg.split(b"\n"))


def _draw_shares(
    axes: Axes, records: Sequence[Record], quantity: Quantity, weekends: int, *, first: bool
) -> None:
    levels = [n / 40.0 for n in range(41)]
    chance = [1.96 * sqrt(p * (1.0 - p) / weekends) for p in levels]
    low, high = ([p + sign * c for p, c in zip(levels, chance, strict=True)] for sign in (-1.0, 1.0))
    axes.fill_between(levels, low, high, color=BAND, linewidth=0)
    axes.plot((0, 1), (0, 1), color=QUIET, linewidth=0.8)
    for top_ups, aside in zip(TOP_UPS, (-0.03, 0.0, 0.03), strict=True):
        for room_probe in (False, True):
            found = shares_below(of(records, quantity.name, top_ups, room_probe))
            axes.plot([level + aside for level in LEVELS], found, **_look(top_ups, room_probe))
    axes.set(xlim=(0, 1), ylim=(0, 1), xticks=LEVELS, yticks=LEVELS, box_aspect=1)
    for level in LEVELS:
        axes.axhline(level, color=BAND, linewidth=0.8, zorder=0)
    axes.set_xticklabels(("p10", "p50", "p90"))
    axes.set_yticklabels(("0.1", "0.5", "0.9"))
    axes.set_title(quantity.title, fontsize=10.5, loc="left", x=-0.12, pad=8, color=INK, weight="bold")
    axes.tick_params(length=3, colors=INK)
    if first:
        axes.set_ylabel("share of truths below")


def _draw_widths(axes: Axes, records: Sequence[Record], quantity: Quantity, *, first: bool) -> None:
    most = 0.0
    for room_probe in (False, True):
        cells = [of(records, quantity.name, top_ups, room_probe) for top_ups in TOP_UPS]
        widths = [width(cell) / quantity.per_unit for cell in cells]
        shift = 0.12 if room_probe else -0.12
        for place, (top_ups, wide) in enumerate(zip(TOP_UPS, widths, strict=True)):
            look = _look(top_ups, room_probe) | {"linestyle": "none"}
            axes.vlines(place + shift, 0.0, wide, color=COLOURS[top_ups], linewidth=2.2, alpha=0.45)
            axes.plot(place + shift, wide, **look)
        most = max(most, *widths)
    axes.set(xlim=(-0.5, 2.5), ylim=(0, 1.2 * most), xticks=(0, 1, 2))
    axes.set_xticklabels([str(n) for n in TOP_UPS])
    axes.locator_params(axis="y", nbins=4)
    axes.set_title(
        f"width in {quantity.unit}, by top-ups", fontsize=9.5, loc="left", x=-0.12, pad=4, color=QUIET
    )
    axes.tick_params(length=3, colors=INK)
    if first:
        axes.set_ylabel("p90 − p10")


def _look(top_ups: int, room_probe: bool) -> dict[str, Any]:
    return {
        "color": COLOURS[top_ups],
        "marker": MARKS[top_ups],
        "markersize": 6.0,
        "markerfacecolor": COLOURS[top_ups] if room_probe else "white",
        "markeredgewidth": 1.4,
        "linewidth": 1.3,
        "linestyle": "-" if room_probe else (0, (3, 2)),
    }


def _say(figure: Figure, weekends: int) -> None:
    figure.text(
        0.02,
        1.0 - 0.31 / HEIGHT_IN,
        "Do the ranges say what they claim?",
        fontsize=15,
        weight="bold",
        color=INK,
    )
    told = (
        f"{weekends} simulated weekends a cell, physics that are not the program's own. A good p10 has "
        "a tenth of the truths below it, a good p90 nine tenths."
    )
    figure.text(0.02, 1.0 - 0.52 / HEIGHT_IN, told, fontsize=9.5, color=QUIET)
    words = {0: "no top-up before", 1: "one", 3: "three"}
    keys: list[Artist] = [Line2D([], [], label=words[n], **_look(n, True)) for n in TOP_UPS]
    keys += [
        Line2D([], [], label="filled, line: room probe", color=INK, marker="o", linewidth=1.3),
        Line2D([], [], label="hollow, dashes: none", color=INK, marker="o", markerfacecolor="white",
               linestyle=(0, (3, 2)), linewidth=1.3),
        Patch(color=BAND, label="chance, 95 %"),
    ]  # fmt: skip
    figure.legend(
        handles=keys, loc="upper left", bbox_to_anchor=(0.012, 1.0 - 0.54 / HEIGHT_IN), ncols=6,
        frameon=False, fontsize=9.5, columnspacing=1.4, handletextpad=0.5,
    )  # fmt: skip
