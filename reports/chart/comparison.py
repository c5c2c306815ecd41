"""Three vessels and more: a row each on one scale and one clock, the worst first; what is alike once."""

from collections.abc import Callable, Sequence

from reports import words
from reports.chart.alarms import alarm_events
from reports.chart.alt_text import names_of
from reports.chart.event_strip import strip_rows
from reports.chart.frame import (
    HOURS_PX,
    MARGIN_PX,
    Frame,
)
from reports.chart.grouping import Group, alike_lit, groups_of
from reports.chart.measured import lamp_panel, light_panel
from reports.chart.panel import Pane, Row, on_the_clock, panel_row, space
from reports.chart.small_row import column_heads, group_row
from reports.language import say
from reports.records import Event, NightRecord, VesselNight

_MOST_LIGHTS = 3
_MOST_NAMED = 2
_LIGHT_PX = 70


def rows(record: NightRecord, frame: Frame) -> list[Row]:
    """The rows of the sheet."""
    groups = groups_of(record)
    found = [column_heads(), *(group_row(group, record, frame, last=group is groups[-1]) for group in groups)]
    found.append(space(HOURS_PX))
    for group in alike_lit(record.vessels)[:_MOST_LIGHTS]:
        found += _light_rows(group, record, frame)
    alarms = _merged(record, alarm_events)
    if alarms:
        found += strip_rows(say("alarm"), alarms, frame, "X", last_on=True)
    found += strip_rows(say("done"), _merged(record, lambda vessel: vessel.deeds), frame, "P")
    return [*found, *strip_rows(say("letters"), record.letters, frame, "s")]


def foot(record: NightRecord) -> str:
    """What the signs mean."""
    several = len(record.vessels) > len(groups_of(record))
    dark = [
        words.clean(vessel.vessel) for group in alike_lit(record.vessels)[_MOST_LIGHTS:] for vessel in group
    ]
    notes = [
        say("The tinted band is where the water is wanted. Hatched: too cold or too hot. Crossed: not read."),
        *(
            [say("Vessels that went alike share a row, with a line each; the figures are of the worst.")]
            if several
            else []
        ),
        *([say("Not drawn: the light of {names}.", names=names_of(dark))] if dark else []),
        say("Hatched share and level are calculated, not measured. Hours are local."),
    ]
    return " ".join(notes)


def _light_rows(group: Group, record: NightRecord, frame: Frame) -> list[Row]:
    one, everywhere = group[0], len(group) == len(record.vessels)
    where = say("all vessels") if everywhere else names_of([words.clean(vessel.vessel) for vessel in group])
    panels = [lamp_panel(one, frame)]
    if one.light_unit is not None:
        panels.append(light_panel(one, frame, _LIGHT_PX))
    first = Pane(panels[0].name, (where, *panels[0].said), panels[0].height_px, panels[0].draw)
    return [
        *(panel_row(on_the_clock(panel, frame, labelled=False)) for panel in (first, *panels[1:])),
        space(MARGIN_PX),
    ]


def _merged(record: NightRecord, events_of: Callable[[VesselNight], Sequence[Event]]) -> list[Event]:
    """The events of all vessels; what is the same at the same minute is one, with the vessels' names."""
    alike: dict[tuple[int, str, str], list[tuple[Event, str]]] = {}
    for vessel in record.vessels:
        for event in events_of(vessel):
            key = (int(event.at.timestamp()) // 60, event.kind, event.text)
            alike.setdefault(key, []).append((event, words.clean(vessel.vessel)))
    return [
        Event(
            found[0][0].at,
            kind,
            say("{names}: {text}", names=_who([name for _, name in found], record), text=text),
        )
        for (_, kind, text), found in alike.items()
    ]


def _who(names: Sequence[str], record: NightRecord) -> str:
    if len(names) == len(record.vessels):
        return say("all")
    return words.joined(names) if len(names) <= _MOST_NAMED else say("{count} vessels", count=len(names))
