"""A panel of the chart: its words above it, its own height, and what draws it."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes

from reports.chart.frame import LEFT_PX, MARGIN_PX, Frame, hatch_off, set_clock
from reports.chart.palette import INK
from reports.chart.type import LINE_PX, NAME_SIZE, SMALL_SIZE, WIDTH_PX, in_lines, wide_px

_ABOVE_PX, _BELOW_PX = 13, 6
_BETWEEN_PX = 18
_MOST_PX = WIDTH_PX - 2 * MARGIN_PX


@dataclass(frozen=True, slots=True)
class Row:
    """A row of the picture: room for words above it, its own height, and what draws it (None: a space)."""

    above_px: int
    height_px: int
    draw: Callable[[Axes], None] | None


@dataclass(frozen=True, slots=True)
class Pane:
    """A panel: its name, what it says now in pieces that are not broken, its height, what draws it."""

    name: str
    said: tuple[str, ...]
    height_px: int
    draw: Callable[[Axes], None]


def on_the_clock(pane: Pane, frame: Frame, *, labelled: bool) -> Pane:
    """The pane over the frame's hours, crossed where the station was off; named below it where asked."""

    def draw(axes: Axes) -> None:
        set_clock(axes, frame, labelled=labelled)
        pane.draw(axes)
        hatch_off(axes, frame)

    return Pane(pane.name, pane.said, pane.height_px, draw)


def space(height_px: int) -> Row:
    """Nothing, so high."""
    return Row(0, height_px, None)


def panel_row(panel: Pane) -> Row:
    """The panel with its words in as many lines as they need."""
    lines = caption_lines(panel.name, panel.said)

    def drawn(axes: Axes) -> None:
        panel.draw(axes)
        _caption(axes, panel.name, lines)

    return Row(_ABOVE_PX + len(lines) * LINE_PX + _BELOW_PX, panel.height_px, drawn)


def caption_lines(name: str, said: Iterable[str]) -> list[str]:
    """What a panel says, in lines; the first stands beside its name."""
    beside_px = _MOST_PX - wide_px(name, NAME_SIZE, bold=True) - _BETWEEN_PX
    return in_lines([piece for piece in said if piece], beside_px, _MOST_PX)


def _caption(axes: Axes, name: str, lines: Sequence[str]) -> None:
    wide, high_px = axes.bbox.width, axes.bbox.height
    left, right = (MARGIN_PX - LEFT_PX) / wide, (WIDTH_PX - MARGIN_PX - LEFT_PX) / wide
    for n, line in enumerate(reversed(lines)):
        at = 1 + (_BELOW_PX + n * LINE_PX) / high_px
        if line:
            axes.text(
                right,
                at,
                line,
                transform=axes.transAxes,
                ha="right",
                va="bottom",
                fontsize=SMALL_SIZE,
                color=INK,
            )
    axes.text(
        left,
        1 + (_BELOW_PX + (len(lines) - 1) * LINE_PX) / high_px,
        name,
        transform=axes.transAxes,
        va="bottom",
        fontsize=NAME_SIZE,
        fontweight="bold",
        color=INK,
    )
