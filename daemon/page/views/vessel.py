"""One vessel: its picture, what is known, its day, its care log."""

from dataclasses import replace

from flask import request
from markupsafe import Markup
from werkzeug.exceptions import NotFound

from daemon.errors import InputError
from daemon.letters.longer_records import batch_record, weekend_record
from daemon.letters.short_words import deed_in_words
from daemon.page.glance import Glance
from daemon.page.pictures import pictures
from daemon.page.shown import show
from daemon.page.to_do import tasks_of
from daemon.station import Vessel
from daemon.store import deeds as deed_store
from daemon.vessel_state import course_of
from reports.page.plot.figure import vessel_plot
from reports.page.vessel import DAY, SPANS, LogEntry, spans, vessel_words
from reports.records import NightRecord
from reports.times import elapsed


def vessel(glance: Glance, vessel_id: str) -> str:
    """The view. Raises NotFound where the station has no such vessel."""
    found = glance.station.vessel(vessel_id)
    if found is None:
        raise NotFound
    span = request.args.get("span", DAY)
    if span not in SPANS:
        raise NotFound
    mine = tuple(one for one in glance.record.vessels if one.vessel == vessel_id)
    record = replace(glance.record, vessels=mine)
    _, _, found_tasks = tasks_of(glance, record)
    said = vessel_words(glance.setting, record, _entries(glance, vessel_id), found_tasks)
    return show(
        glance,
        "vessel.html",
        "vessel",
        said.standing.name,
        vessel=vessel_id,
        words=said,
        picture=pictures(glance, record, "full").of[vessel_id],
        chart=_chart(glance, found, span),
        spans=spans(glance.setting),
        span=span,
    )


def _chart(glance: Glance, vessel: Vessel, span: str) -> Markup:
    """The chart of a day, the last weekend or other absence, or the whole batch; empty where none was."""
    try:
        record = _record(glance, vessel, span)
    except InputError:  # no batch was ever set
        return Markup()
    now = elapsed(record.span.ended, glance.setting.written_at) <= glance.setting.fresh_for
    return Markup(vessel_plot(record, vessel.id, span, now=now))  # noqa: S704 - it escapes


def _record(glance: Glance, vessel: Vessel, span: str) -> NightRecord:
    newest = glance.at if glance.newest_at is None else min(glance.at, glance.newest_at)
    match span:
        case "weekend":
            return weekend_record(glance.station, glance.connection, glance.at, newest)
        case "batch":
            return batch_record(glance.station, glance.connection, vessel, newest)
        case _:
            return glance.record


def _entries(glance: Glance, vessel_id: str) -> list[LogEntry]:
    """Of the last batch, the withdrawn ones too."""
    entries = [one for one in deed_store.every(glance.connection) if one.deed.vessel == vessel_id]
    set_at = course_of([one.deed for one in entries if one.withdrawn_at is None]).set_at
    return [
        LogEntry(
            one.id,
            glance.local(one.deed.at),
            deed_in_words(one.deed, glance.language),
            None if one.withdrawn_at is None else glance.local(one.withdrawn_at),
        )
        for one in entries
        if set_at is None or one.deed.at >= set_at
    ]
