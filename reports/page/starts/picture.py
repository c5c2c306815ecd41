"""The likely picture of a planned start: the share hatched by the hour, with the lesson on it."""

from datetime import UTC

from markupsafe import Markup

from reports import amounts, night
from reports.language import in_its_language, say
from reports.page.plot import svg
from reports.page.plot.field import PlotPanel, fits, panel_html
from reports.page.plot.lines import band_paths
from reports.page.plot.scale import PlotScale
from reports.page.plot.span import PlotSpan
from reports.page.plot.ticks import plot_clock
from reports.starts.records import PlannedStart

_HIGH_PX = 120


@in_its_language
def start_plot(plan: PlannedStart) -> Markup:
    """The picture as HTML that may stand in a page as it is; empty where there is none."""
    if len(plan.picture) < 2:
        return Markup()
    began, ended = (night.moment_utc(plan.picture[place].at) for place in (0, -1))
    span = PlotSpan(began, ended, ended, plan.made_at.tzinfo or UTC, plan.unit, (), now=False)
    clock = plot_clock(span)
    row = svg.clock_row((clock.hours, clock.days), ("middle", ""))
    panel = panel_html(_panel(plan, span), span, clock, "start")
    return Markup(f'<figure class="plot" id="start">{panel}{row}</figure>')  # noqa: S704 - of our own making


def _panel(plan: PlannedStart, span: PlotSpan) -> PlotPanel:
    scale = PlotScale(-4.0, 104.0, _HIGH_PX)
    series = [
        (night.moment_utc(one.at), 100 * one.hatched.p10, 100 * one.hatched.p50, 100 * one.hatched.p90)
        for one in plan.picture
    ]
    area, middle = band_paths([series], span, scale, lambda value: value)
    began, ended = (min(1.0, max(0.0, span.share(at))) for at in (plan.lesson.began, plan.lesson.ended))
    label = say("the lesson")
    beside = 0.01 if fits(label, ended - began) is None else 0.0
    return PlotPanel(
        say("Hatched, %"),
        (say("The line is most likely; four times in five it lies in the band."),),
        scale.height_px,
        tuple((scale.y_px(value), amounts.number(value)) for value in (0.0, 50.0, 100.0)),
        svg.drawn(area, "band hatch") + svg.drawn(middle, "line hatch"),
        under=svg.stretch(began, ended, 0, _HIGH_PX, "lesson"),
        over=_label(label, began - beside, ended),
    )


def _label(label: str, began: float, ended: float) -> str:
    """Left of the lesson, or right of it where there is no room."""
    if began > 0.3:
        return svg.words(began, 12, label, "halo", "end")
    return svg.words(ended + 0.01, 12, label, "halo")
