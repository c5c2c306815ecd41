"""The letter of an outage: what the stretch without readings may have cost, and whether the lamp burned."""

import sqlite3
from collections.abc import Mapping, Sequence
from math import sqrt

from daemon.alarms import conditions
from daemon.hours import in_daily_hours
from daemon.letters.conversions import local
from daemon.science.hatching import pace
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station, Vessel
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.runs import Outage
from daemon.watching.beliefs import Beliefs
from reports.letters.outage import OutageNews, OutageVessel, outage_letter
from reports.records import LetterText, Range, Setting, Span
from sensors.reading import Measure

_WAITED_S = 3 * DAY_S  # a letter about an outage may have waited out a weekend
_LOOKS_S = 2 * HOUR_S  # how far before and after the gap a reading still speaks of its ends
# Water without readings wanders between its ends, by so much after so many hours [P]: as the beliefs have it.
_MARGIN_C_PER_SQRT_H, _MARGIN_MOST_C = 1.0, 6.0


def write_outage(
    station: Station,
    connection: sqlite3.Connection,
    beliefs: Beliefs,
    place: Setting,
    vessels: Sequence[Vessel],
    at: int,
) -> LetterText | None:
    """The letter about the longest outage of late, or None where there was none or nothing is watched."""
    lately = run_store.outages(connection, at - _WAITED_S, at)
    outage = max(lately, key=lambda o: o.ended - o.began, default=None)
    states = {vessel.id: beliefs.state(vessel.id, at) for vessel in vessels}
    watched = [vessel for vessel in vessels if states[vessel.id].watched]
    if outage is None or not watched:
        return None
    stages = {vessel_id: state.stage.value for vessel_id, state in states.items()}
    return outage_letter(place, outage_news(station, connection, watched, outage, stages))


def outage_news(
    station: Station,
    connection: sqlite3.Connection,
    vessels: Sequence[Vessel],
    outage: Outage,
    stages: Mapping[str, str],
) -> OutageNews:
    """The account of an outage for these vessels, each at its stage."""
    return OutageNews(
        span=Span(local(station, outage.began), local(station, outage.ended)),
        clock_sure=outage.clock_trusted,
        vessels=tuple(_vessel(station, connection, vessel, outage, stages[vessel.id]) for vessel in vessels),
    )


def _vessel(
    station: Station, connection: sqlite3.Connection, vessel: Vessel, outage: Outage, stage: str
) -> OutageVessel:
    water = station.probe_of(vessel, Measure.WATER_C)
    before, after = (
        [] if water is None else [c for _, c in reading_store.good_values(connection, water.id, began, ended)]
        for began, ended in (
            (outage.began - _LOOKS_S, outage.began),
            (outage.ended, outage.ended + _LOOKS_S),
        )
    )
    before_c, after_c = (before[-1] if before else None), (after[0] if after else None)
    return OutageVessel(
        vessel=vessel.id,
        count=vessel.count,
        before_c=before_c,
        after_c=after_c,
        delay_h=None if before_c is None or after_c is None else delay_h(outage, before_c, after_c),
        stage=stage,
        lit_after=_lit_after(station, connection, vessel, outage.ended),
    )


def delay_h(outage: Outage, before_c: float, after_c: float) -> Range | None:
    """By how many hours a hatch is later than with water as before; None where that stood still."""
    steady = pace(before_c)
    if steady <= 0.0:
        return None
    hours = (outage.ended - outage.began) / HOUR_S
    margin_c = min(_MARGIN_MOST_C, _MARGIN_C_PER_SQRT_H * sqrt(hours) / 2.0)
    middle_c = (before_c + after_c) / 2.0
    warm, likely, cold = (
        hours * max(0.0, 1.0 - pace(min(60.0, max(-5.0, c))) / steady)
        for c in (middle_c + margin_c, middle_c, middle_c - margin_c)
    )
    low, high = sorted((warm, cold))
    return Range(min(low, likely), likely, max(high, likely))


def _lit_after(station: Station, connection: sqlite3.Connection, vessel: Vessel, ended: int) -> bool | None:
    plan = station.light_probe_of(vessel)
    due = any(in_daily_hours(hours, ended, station.timezone) for hours in vessel.lamp)
    light = [] if plan is None else reading_store.good_values(connection, plan.id, ended, ended + _LOOKS_S)
    if plan is None or not due or not light:
        return None
    return light[0][1] >= conditions.low_light(vessel, plan.measures)
