"""A vessel's chart for the page: what it shows in a sentence, its panels, its answers, all as a table."""

from collections.abc import Sequence
from dataclasses import replace

from reports import night
from reports.chart.alt_text import finding_of, off_said
from reports.language import in_its_language, say
from reports.page.plot import svg
from reports.page.plot.answers import quantities
from reports.page.plot.calculated import hatch_field, level_field, salt_field
from reports.page.plot.field import PlotPanel, panel_html
from reports.page.plot.read import lamp_row, light_field, water_field
from reports.page.plot.span import PlotSpan, plot_span
from reports.page.plot.steps import moments, packed, step_of
from reports.page.plot.strips import lists_html, strips_html
from reports.page.plot.table import table_html
from reports.page.plot.ticks import plot_clock
from reports.records import NightRecord, Point, VesselNight


@in_its_language
def vessel_plot(record: NightRecord, vessel: str, key: str, *, now: bool = False) -> str:
    """The chart of one of the record's vessels as HTML that may stand in a page as it is.

    `key` (letters, digits, hyphens) tells the charts of a page apart. `now` says that the record ends at the
    present: then what is to come is shown as well. Raises KeyError for a vessel that is not in the record.
    """
    one = _in_utc({each.vessel: each for each in record.vessels}[vessel])
    span = plot_span(record, now=now)
    air = _points_in_utc(_air_beside(record, vessel))
    told = quantities(one, air, span)
    ticks = plot_clock(span)
    clock = svg.clock_row((ticks.hours, ticks.days), ("middle", ""))
    panels = "".join(panel_html(panel, span, ticks, key) for panel in _panels(one, air, span, key))
    same = say("The same as a table")
    lamp = lamp_row(one, span) if one.light_unit is None else ""
    return (
        f'<figure class="plot" id="{key}"><figcaption>{svg.said(_found(record, one))}</figcaption>'
        f"{_hatches(key)}{clock}{panels}{lamp}{strips_html(one, span)}{clock}"
        f"{_asking(span, key)}"
        f"<details><summary>{svg.said(same)}</summary>"
        f"{lists_html(one, span)}{table_html(told, span)}</details>"
        f'<script type="application/json">{packed(told, span)}</script></figure>'
    )


def _in_utc(vessel: VesselNight) -> VesselNight:
    """The same with the series' moments in UTC: told once, not whenever one of them is looked at."""
    return replace(vessel, water_c=_points_in_utc(vessel.water_c), light=_points_in_utc(vessel.light))


def _points_in_utc(points: Sequence[Point]) -> tuple[Point, ...]:
    return tuple(Point(night.moment_utc(point.at), point.value) for point in points)


def _found(record: NightRecord, vessel: VesselNight) -> str:
    return " ".join([finding_of((vessel,), record), *off_said(record)])


def _air_beside(record: NightRecord, vessel: str) -> tuple[Point, ...]:
    """What the first probe of the room's air beside the vessel read."""
    return next((air.air_c for air in record.room_air if vessel in air.vessels), ())


def _panels(vessel: VesselNight, air: Sequence[Point], span: PlotSpan, key: str) -> list[PlotPanel]:
    """Those that have data; the water always, for that nothing was read of it is news."""
    panels = [water_field(vessel, air, span, key)]
    if vessel.light_unit is not None:
        panels.append(light_field(vessel, span, key))
    if vessel.loss_ml:
        panels.append(level_field(vessel, span))
    if vessel.salinity_g_per_kg:
        panels.append(salt_field(vessel, span))
    if vessel.hatched_fraction:
        panels.append(hatch_field(vessel, span))
    return panels


def _hatches(key: str) -> str:
    """The hatches of what was not read and of what was not watched, for the elements that name them."""
    lines = (("gap", "M-2 2l4-4M0 8l8-8M6 10l4-4"), ("off", "M-2 2l4-4M0 8l8-8M6 10l4-4M0 0l8 8"))
    patterns = "".join(
        f'<pattern id="{key}-{name}" width="8" height="8" patternUnits="userSpaceOnUse">'
        f'<path d="{path}" class="hatch"/></pattern>'
        for name, path in lines
    )
    return f'<svg width="0" height="0" class="plot-defs" aria-hidden="true"><defs>{patterns}</defs></svg>'


def _asking(span: PlotSpan, key: str) -> str:
    """What plot.js makes answer; hidden until it does."""
    last = len(moments(span, step_of(span))) - 1
    label = say("A moment in the chart")
    return (
        f'<div class="plot-ask" hidden><p class="plot-answer"></p>'
        f'<label for="{key}-when" class="unseen">{svg.said(label)}</label>'
        f'<input type="range" id="{key}-when" min="0" max="{last}" value="{last}">'
        f'<p class="unseen" role="status"></p></div>'
    )
