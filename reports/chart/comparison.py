"""Three vessels and more: a row each on one scale and one clock, the worst first; what is alike once."""

from collections.abc import Callable, Sequence

from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter, MaxNLocator

from reports import amounts, night, words
from reports.chart.alarms import alarm_events
from reports.chart.alt_text import names_of
from reports.chart.event_strip import strip_rows
from reports.chart.frame import HOURS_PX, MARGIN_PX, Frame, crossed
from reports.chart.grouping import Group, alike_lit, groups_of
from reports.chart.lines import draw_line, line_of
from reports.chart.measured import lamp_panel, light_panel
from reports.chart.palette import QUIET
from reports.chart.panel import Pane, Row, on_the_clock, panel_row, space
from reports.chart.small_row import column_heads, group_row
from reports.language import say
from reports.records import Event, NightRecord, RoomAir, Span, VesselNight

_MOST_LIGHTS, _MOST_ROOMS = 3, 2
_MOST_NAMED = 2
_LIGHT_PX, _ROOM_PX = 70, 58


def rows(record: NightRecord, frame: Frame) -> list[Row]:
    """The rows of the sheet."""
    groups = groups_of(record)
    found = [column_heads(), *(group_row(group, record, frame, last=group is groups[-1]) for group in groups)]
    found.append(space(HOURS_PX))
    for room in record.room_air[:_MOST_ROOMS]:
        found += _room_rows(room, record, frame)
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
        say(
            "The tinted band is where the water is wanted. Slanted lines: too cold or too hot. Crossed: not "
            "read."
        ),
        *(
            [say("Vessels that went alike share a row, with a line each; the figures are of the worst.")]
            if several
            else []
        ),
        *([say("Not drawn: the light of {names}.", names=names_of(dark))] if dark else []),
        say("Hatched share and level are calculated, not measured. Hours are local."),
    ]
    return " ".join(notes)


def _room_rows(room: RoomAir, record: NightRecord, frame: Frame) -> list[Row]:
    """The room's air, with its coldest and warmest reading."""
    seen = night.extremes(room.air_c)
    if seen is None:
        return []
    low, high = (amounts.in_unit(end.value or 0.0, frame.unit) for end in (seen.coldest, seen.warmest))
    said = say("{low} to {high}", low=amounts.number(low, 1), high=f"{amounts.number(high, 1)} °{frame.unit}")

    def draw(axes: Axes) -> None:
        axes.set_ylim(low - 1.0, high + 1.0)
        axes.yaxis.set_major_locator(MaxNLocator(2, integer=True))
        axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{amounts.number(value)}°"))
        line = line_of(room.air_c, frame, lambda air_c: amounts.in_unit(air_c, frame.unit))
        draw_line(axes, line, QUIET, 1.8)
        unread = night.gaps(room.air_c, Span(frame.began, frame.ended))
        for began, ended in night.without(unread, frame.off):
            crossed(axes, began, ended)

    pane = Pane(say("Room"), (_where(room.vessels, record), said), _ROOM_PX, draw)
    return [panel_row(on_the_clock(pane, frame, labelled=False)), space(MARGIN_PX)]


def _where(names: Sequence[str], record: NightRecord) -> str:
    """For which vessels something is drawn; nothing where for all."""
    everywhere = len(names) == len(record.vessels)
    return "" if everywhere else names_of([words.clean(name) for name in names])


def _light_rows(group: Group, record: NightRecord, frame: Frame) -> list[Row]:
    one, where = group[0], _where([vessel.vessel for vessel in group], record)
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
