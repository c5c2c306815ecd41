"""A panel of a chart: its words above it, its scale left of it, what is drawn, and what all panels share."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import timedelta

from reports import night
from reports.language import say
from reports.page.plot import svg
from reports.page.plot.lines import Place
from reports.page.plot.span import COLUMNS, PlotSpan, Stretch
from reports.page.plot.ticks import LETTER_PX, NARROW_PX, WIDE_PX, PlotClock

# What is left of a gap before and after an outage is a missed beat or two.
_SHORTEST = timedelta(minutes=10)
_LINE_PX = 13
_ABOVE_PX, _BELOW_PX = -4, 13


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


def panel_html(panel: PlotPanel, span: PlotSpan, clock: PlotClock, key: str) -> str:
    """The panel with its words; `key` is the chart's, whose hatches it uses."""
    pieces = "".join(f" <span>{svg.said(piece)}</span>" for piece in panel.said if piece)
    field = svg.plot(
        panel.height_px,
        svg.stretched(panel.height_px, _grid(panel, clock)),
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


def _grid(panel: PlotPanel, clock: PlotClock) -> str:
    """A line at each value and hour that is named, thin, and at each day, stronger."""
    lines: dict[str, str] = {"rule": "".join(f"M0 {y}h{COLUMNS}" for y, _ in panel.labels)}
    days = [tick for tick in clock.days if tick.share]
    hours = [tick for tick in clock.hours if (tick.share, tick.only) not in {(d.share, d.only) for d in days}]
    for style, ticks in (("hour", hours), ("day", days)):
        for tick in ticks:
            name = f"{style} {tick.only}".strip()
            lines[name] = lines.get(name, "") + f"M{round(tick.share * COLUMNS)} 0v{panel.height_px}"
    return "".join(svg.drawn(path, style) for style, path in lines.items())


def now_said(span: PlotSpan) -> str:
    """The word beside the line of the present, where there is room for it."""
    return svg.words(span.share(span.ended) + 0.01, 11, say("now"), "halo") if span.edge > span.ended else ""


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
        if one[1] - one[0] >= _SHORTEST
    )


def _hatched(span: PlotSpan, stretch: Stretch, height_px: int, pattern: str, label: str) -> str:
    began, ended = span.share(stretch[0]), span.share(stretch[1])
    box = svg.stretch(began, ended, 0, height_px, "gap", f"url(#{pattern})")
    only = fits(label, ended - began)
    if only is None:
        return box
    return box + svg.words((began + ended) / 2, height_px // 2 + 4, label, f"halo {only}", "middle")


def fits(label: str, share: float) -> str | None:
    """Where words fit into a share of the width: "" in any window, "w" in a wide one, None in none."""
    wide_px = len(label) * LETTER_PX
    if wide_px > share * WIDE_PX:
        return None
    return "" if wide_px <= share * NARROW_PX else "w"


def limit(y_px: int, label: str, style: str, height_px: int, drawn: Collection[Place]) -> str:
    """A limit with its words above or below it, left, in the middle or right: where they meet least of what
    is drawn, on a phone."""
    wide = len(label) * LETTER_PX / NARROW_PX
    best = min(
        (
            (_met(drawn, began, began + wide, y_px + off_px), n, began, y_px + off_px)
            for n, (began, off_px) in enumerate(
                (began, off_px)
                for began in (0.01, (1.0 - wide) / 2, 0.99 - wide)
                for off_px in (_ABOVE_PX, _BELOW_PX)
                if _LINE_PX - 4 <= y_px + off_px < height_px
            )
        ),
        default=(0, 0, 0.01, y_px + _ABOVE_PX),
    )
    _, _, began, at_px = best
    share, anchor = (0.01, "") if began < 0.02 else (0.99, "end") if began + wide > 0.98 else (0.5, "middle")
    return svg.level_line(y_px, f"limit {style}") + svg.words(share, at_px, label, "halo", anchor)


def _met(drawn: Collection[Place], began: float, ended: float, foot_px: int) -> int:
    return sum(
        began * COLUMNS <= column <= ended * COLUMNS and foot_px - _LINE_PX <= y_px <= foot_px + 3
        for column, y_px in drawn
    )
