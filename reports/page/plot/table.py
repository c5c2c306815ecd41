"""A chart's values as a table: by the hour, in a longer span by so many hours that it can be read."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from reports.chart.hours import local_hours
from reports.language import say
from reports.page.plot import svg
from reports.page.plot.answers import Quantity
from reports.page.plot.span import PlotSpan

_MOST_ROWS, _DAY_H = 50, 24
_HOUR_STEPS = (1, 2, 3, 4, 6, 12, 24, 48, 96)


def table_html(quantities: Sequence[Quantity], span: PlotSpan) -> str:
    """The table with its caption; empty where there is nothing to tell. HTML lets rows and cells end by
    themselves."""
    if not quantities:
        return ""
    asked, every = _rows(span)
    if every == 1:
        caption = say("Every hour.")
    else:
        caption = say("Every {count} hours; readings from the lowest to the highest about then.", count=every)
    label = say("Values")
    heads = "".join(
        f'<th scope="col">{svg.said(name)}' for name in (say("When"), *(q.name for q in quantities))
    )
    body = "".join(_row(at, timedelta(hours=every), quantities, span) for at in asked)
    return (
        f'<div class="plot-scroll" tabindex="0" role="group" aria-label="{svg.said(label)}"><table>'
        f"<caption>{svg.said(caption)}</caption><tr>{heads}{body}</table></div>"
    )


def _rows(span: PlotSpan) -> tuple[list[datetime], int]:
    hours = local_hours(span.began, span.ended, span.zone)
    every = next((step for step in _HOUR_STEPS if len(hours) / step <= _MOST_ROWS), _HOUR_STEPS[-1])
    found = [at for at in hours if at.astimezone(span.zone).hour % min(every, _DAY_H) == 0]
    return found[:: max(every // _DAY_H, 1)] or [span.ended], every


def _row(at: datetime, step: timedelta, quantities: Sequence[Quantity], span: PlotSpan) -> str:
    cells = "".join(f"<td>{svg.said(one.at(at, step)) or '–'}" for one in quantities)
    return f'<tr><th scope="row">{span.said(at)}{cells}'
