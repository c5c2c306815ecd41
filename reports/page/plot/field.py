"""A panel of a chart: its words above it, its scale left of it, what is drawn, and what all panels share."""

from collections.abc import Sequence
from dataclasses import dataclass

from reports import night
from reports.language import say
from reports.page.plot import svg
from reports.page.plot.span import PlotSpan, Stretch
from reports.page.plot.ticks import day_ticks, hour_ticks

_LETTER_PX = 6.6
# A narrower gap has no room for its words even in a wide window.
_WIDE_PX = 600.0


@dataclass(frozen=True, slots=True)
class PlotPanel:
    """A panel `height_px` high: its name, what it says in pieces, the values named left of it by height, the
    paths of the stretched box and all else, in the order in which it is drawn."""

    name: str
    said: tuple[str, ...]
    height_px: int
    labels: tuple[tuple[int, str], ...]
    paths: str
    under: str = ""
    over: str = ""
    above: str = ""


def panel_html(panel: PlotPanel, span: PlotSpan, key: str) -> str:
    """The panel with its words; `key` is the chart's, whose hatches it uses."""
    pieces = "".join(f" <span>{svg.said(piece)}</span>" for piece in panel.said if piece)
    field = svg.plot(
        panel.height_px,
        _clock_lines(span, panel.height_px),
        *(svg.level_line(y, "rule") for y, _ in panel.labels),
        panel.under,
        _off(span, panel.height_px, key),
        svg.stretched(panel.height_px, panel.paths),
        panel.over,
        now_line(span, panel.height_px),
    )
    return (
        f'<p class="plot-name"><b>{svg.said(panel.name)}</b>{pieces}</p>{panel.above}'
        f'<div role="img" aria-label="{svg.said(panel.name)}">'
        f"{svg.row(svg.gutter(panel.height_px, panel.labels), field)}</div>"
    )


def _clock_lines(span: PlotSpan, height_px: int) -> str:
    """Days strongly, hours thinly, where they are named."""
    days = {tick.share: tick for tick in day_ticks(span)}
    lines = [svg.upright(tick.share, height_px, "day", tick.only) for tick in days.values() if tick.share]
    lines += [
        svg.upright(tick.share, height_px, "hour", tick.only)
        for tick in hour_ticks(span)
        if tick.share not in days
    ]
    return "".join(lines)


def now_line(span: PlotSpan, height_px: int) -> str:
    """Where the present is."""
    return svg.upright(span.share(span.ended), height_px, "now") if span.now else ""


def _off(span: PlotSpan, height_px: int, key: str) -> str:
    return "".join(_hatched(span, off, height_px, f"{key}-off", say("station off")) for off in span.off)


def gaps(stretches: Sequence[Stretch], span: PlotSpan, height_px: int, key: str) -> str:
    """Stretches without readings, hatched, but for those when the whole station was off."""
    return "".join(
        _hatched(span, one, height_px, f"{key}-gap", say("no readings"))
        for one in night.without(stretches, span.off)
    )


def _hatched(span: PlotSpan, stretch: Stretch, height_px: int, pattern: str, label: str) -> str:
    began, ended = span.share(stretch[0]), span.share(stretch[1])
    box = svg.stretch(began, ended, 0, height_px, "gap", f"url(#{pattern})")
    room_px = (ended - began) * _WIDE_PX
    if room_px < len(label) * _LETTER_PX:
        return box
    only = "w" if (ended - began) * 230 < len(label) * _LETTER_PX else ""
    return box + svg.words((began + ended) / 2, height_px // 2 + 4, label, f"halo {only}", "middle")


def limit(y_px: int, label: str, style: str, *, below: bool = False) -> str:
    """A limit with its words above or below it."""
    return svg.level_line(y_px, f"limit {style}") + svg.words(
        0.01, y_px + (13 if below else -4), label, "halo"
    )
