"""A chart's answers for those who ask by finger or key: a step of time each, packed for plot.js."""

import json
from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import groupby

from reports import times
from reports.language import say
from reports.page.plot.answers import Quantity
from reports.page.plot.span import PlotSpan

# So many answers at most, and in a span of more than four days, whose words differ more from step to step.
_MOST, _MOST_LONG = 290, 145
_LONG = timedelta(days=4)
_MINUTES = (5, 10, 15, 20, 30, 60, 120, 180, 240, 360, 480, 720, 1440)
_WEEKDAY_TELLS = timedelta(days=7)
_HOUR_S, _DAY_S = 3600, 86400


def step_of(span: PlotSpan) -> timedelta:
    """How far apart a chart's answers are: five minutes in a day, twelve hours in two months."""
    whole = span.ended - span.began
    most = _MOST if whole <= _LONG else _MOST_LONG
    minutes = next((one for one in _MINUTES if whole / timedelta(minutes=one) <= most), _MINUTES[-1])
    return timedelta(minutes=minutes)


def moments(span: PlotSpan, step: timedelta) -> list[datetime]:
    """The moments of which a chart answers, on full steps, and the last of all."""
    step_s = int(step.total_seconds())
    first = -(-int(span.began.timestamp()) // step_s) * step_s
    last = int(span.ended.timestamp())
    found = [*range(first, last + 1, step_s)]
    return [
        datetime.fromtimestamp(at, span.zone)
        for at in (found if found and found[-1] == last else [*found, last])
    ]


def packed(quantities: Sequence[Quantity], span: PlotSpan) -> str:
    """The answers as JSON that may stand in a page: for each quantity its texts, and which holds how long."""
    step = step_of(span)
    asked = moments(span, step)
    body = {
        "at": [int(asked[0].timestamp()), int(step.total_seconds()), int(asked[-1].timestamp()), len(asked)],
        "span": [int(span.began.timestamp()), int(span.edge.timestamp())],
        "clock": _clock(asked),
        "days": _days(asked, span),
        "nothing": say("nothing is known of that moment"),
        "when": _when(),
        "said": [_runs(one, asked, step) for one in quantities],
    }
    return json.dumps(body, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")


def _clock(asked: Sequence[datetime]) -> list[list[int]]:
    """From when on the local clock is how many seconds ahead of UTC."""
    offsets = [(at, int((at.utcoffset() or timedelta(0)).total_seconds())) for at in asked]
    return [
        [int(next(same)[0].timestamp()), offset] for offset, same in groupby(offsets, key=lambda one: one[1])
    ]


def _days(asked: Sequence[datetime], span: PlotSpan) -> list[str]:
    """The name of each local day from the first to the last."""
    named = times.short_weekday if span.ended - span.began <= _WEEKDAY_TELLS else times.short_day
    count = (asked[-1].date() - asked[0].date()).days + 1
    return [named(asked[0] + timedelta(days=n)) for n in range(count)]


def _when() -> str:
    return say("{day} {clock}: {what}", day="{day}", clock="{clock}", what="{what}")


def _runs(quantity: Quantity, asked: Sequence[datetime], step: timedelta) -> dict[str, object]:
    texts: dict[str, int] = {}
    runs: list[int] = []
    for text, same in groupby(quantity.at(at, step) for at in asked):
        runs += [texts.setdefault(text, len(texts)), sum(1 for _ in same)]
    return {"name": quantity.name, "texts": [*texts], "runs": runs}
