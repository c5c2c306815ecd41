"""What was done and what was wrong: a row of marks for each sort of deed, one of bars for alarms; lists."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from reports import night, times
from reports.language import say, to_say
from reports.page.plot import svg
from reports.page.plot.field import fits, now_line
from reports.page.plot.span import PlotSpan
from reports.records import Event, VesselNight

_ROW_PX, _SIGN_PX, _EDGE = 18, 12, 0.02
# Which deeds share a row, and its sign: rows and signs tell them apart, not colours.
_BATCH, _WATER, _CARE, _LOOKS = to_say("batch"), to_say("water"), to_say("care"), to_say("looks")
_NOTES = to_say("notes")
_SORTS: Mapping[str, tuple[str, frozenset[str]]] = {
    _BATCH: ("■", frozenset({"set", "harvest", "end"})),
    _WATER: ("▼", frozenset({"top-up", "brine", "remove", "cover"})),
    _CARE: ("✚", frozenset({"stir", "feed"})),
    _LOOKS: ("●", frozenset({"first-swimmer", "hatched", "count", "salinity"})),
}
_OTHER_SIGN = "◆"


@dataclass(frozen=True, slots=True)
class AlarmStretch:
    """An alarm as far as it lies in a chart: from a moment to another (UTC), in words; `stands` at its end,
    `aside` where somebody silenced it."""

    began: datetime
    ended: datetime
    text: str
    stands: bool
    aside: bool


def done_in(vessel: VesselNight, span: PlotSpan) -> list[Event]:
    """The deeds of the span in order of time."""
    inside = [one for one in vessel.deeds if span.began <= night.moment_utc(one.at) <= span.ended]
    return sorted(inside, key=lambda one: night.moment_utc(one.at))


def troubles_in(vessel: VesselNight, span: PlotSpan) -> list[AlarmStretch]:
    """The alarms of the span in order of time: that are over, that stand, and that were silenced."""
    found = [
        *((one.span.began, one.span.ended, one.text, False, False) for one in vessel.past_alarms),
        *((one.at, span.ended, one.text, True, False) for one in vessel.open_alarms),
        *((one.since, one.until or span.ended, one.text, one.until is None, True) for one in vessel.silenced),
    ]
    inside = [
        AlarmStretch(*cut, text, stands, aside)
        for began, ended, text, stands, aside in found
        if (cut := span.cut(began, ended)) is not None
    ]
    return sorted(inside, key=lambda one: (one.began, one.ended, one.text))


def strips_html(vessel: VesselNight, span: PlotSpan) -> str:
    """The rows of marks, those that have any."""
    deeds, troubles = done_in(vessel, span), troubles_in(vessel, span)
    rows = [_marks(say(name), sign, mine, span) for name, sign, mine in _sorted(deeds) if mine]
    if troubles:
        rows.insert(0, _bars(troubles, span))
    if not rows:
        return ""
    title = say("What was done, and alarms") if troubles else say("What was done")
    return (
        f'<p class="plot-name"><b>{svg.said(title)}</b></p>'
        f'<div role="img" aria-label="{svg.said(title)}">{"".join(rows)}</div>'
    )


def _sorted(deeds: Sequence[Event]) -> list[tuple[str, str, list[Event]]]:
    known = frozenset[str]().union(*(kinds for _, kinds in _SORTS.values()))
    return [
        *(
            (name, sign, [one for one in deeds if one.kind in kinds])
            for name, (sign, kinds) in _SORTS.items()
        ),
        (_NOTES, _OTHER_SIGN, [one for one in deeds if one.kind not in known]),
    ]


def _marks(name: str, sign: str, deeds: Sequence[Event], span: PlotSpan) -> str:
    """A sort's signs, each with its words where they fit before the next."""
    shares = [*(span.share(one.at) for one in deeds), 1.0]
    texts = (
        svg.words(at, 13, sign, "mark", _anchor(at)) + _beside(at, after, one.text)
        for one, (at, after) in zip(deeds, pairwise(shares), strict=True)
    )
    return _strip_row([(9, name)], "".join(texts), span)


def _anchor(share: float) -> str:
    """In the middle of its moment, but for the edges, where it would meet what stands beside the plot."""
    return "start" if share < _EDGE else "end" if share > 1.0 - _EDGE else "middle"


def _beside(at: float, after: float, text: str) -> str:
    only = fits(f"{text}   ", after - at)
    if only is None:
        return ""
    from_px = _SIGN_PX + (
        _SIGN_PX // 2 if at < _EDGE else 0
    )  # at the edge the sign stands right of its moment
    style = f' class="{only}"' if only else ""
    words = f'<text x="{from_px}" y="13"{style}>{svg.said(text)}</text>'
    return f'<svg x="{svg.percent(at)}" overflow="visible">{words}</svg>'


def _bars(troubles: Sequence[AlarmStretch], span: PlotSpan) -> str:
    """Alarms as bars, in as many rows as stood at once; with their words where they fit."""
    lanes: list[list[AlarmStretch]] = []
    for one in troubles:
        lane = next((lane for lane in lanes if lane[-1].ended <= one.began), None)
        if lane is None:
            lanes.append(lane := [])
        lane.append(one)
    name = say("alarm")
    return "".join(
        _strip_row(
            [(9, "" if n else name)],
            "".join(_bar(one, after, span) for one, after in zip(lane, [*lane[1:], None], strict=True)),
            span,
        )
        for n, lane in enumerate(lanes)
    )


def _bar(one: AlarmStretch, after: AlarmStretch | None, span: PlotSpan) -> str:
    """An alarm's bar with its words in it, or behind it where they fit there only."""
    began, ended = span.share(one.began), span.share(one.ended)
    box = svg.stretch(began, ended, 2, _ROW_PX - 4, "alarm aside" if one.aside else "alarm")
    inside = fits(f"{one.text}   ", ended - began)
    if inside is not None:
        style = "halo" if one.aside else "in-alarm"
        return box + svg.words((began + ended) / 2, 13, one.text, f"{style} {inside}", "middle")
    behind = fits(f"{one.text}   ", (span.share(after.began) if after else 1.0) - ended)
    return box if behind is None else box + svg.words(ended + _EDGE / 2, 13, one.text, f"halo {behind}")


def _strip_row(label: Sequence[tuple[int, str]], content: str, span: PlotSpan) -> str:
    line = svg.level_line(_ROW_PX - 1, "rule")
    return svg.row(svg.gutter(_ROW_PX, label), svg.plot(_ROW_PX, line, content, now_line(span, _ROW_PX)))


def lists_html(vessel: VesselNight, span: PlotSpan) -> str:
    """The same in words, with the moments for those who ask at one."""
    deeds = "".join(_deed(one, span) for one in done_in(vessel, span))
    troubles = "".join(_trouble(one, span) for one in troubles_in(vessel, span))
    return "".join(
        f'<p class="plot-name"><b>{svg.said(name)}</b></p><ul class="plot-list">{items}</ul>'
        for name, items in ((say("What was done"), deeds), (say("Alarms"), troubles))
        if items
    )


def _deed(deed: Event, span: PlotSpan) -> str:
    at = int(deed.at.timestamp())
    return f'<li data-at="{at}">{span.said(deed.at)} <span>{svg.said(deed.text)}</span></li>'


def _trouble(trouble: AlarmStretch, span: PlotSpan) -> str:
    began, ended = int(trouble.began.timestamp()), int(trouble.ended.timestamp())
    text = say("silenced: {alarm}", alarm=trouble.text) if trouble.aside else trouble.text
    when = _between(trouble, span)
    return f'<li data-at="{began}" data-to="{ended}">{when} <span>{svg.said(text)}</span></li>'


def _between(trouble: AlarmStretch, span: PlotSpan) -> str:
    if trouble.stands:
        return say("since {when}", when=span.said(trouble.began))
    began, ended = (one.astimezone(span.zone) for one in (trouble.began, trouble.ended))
    last = times.clock(ended) if began.date() == ended.date() else span.said(trouble.ended)
    return say("{low} to {high}", low=span.said(trouble.began), high=last)
