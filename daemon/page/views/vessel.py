"""One vessel: its picture, what is known, its day, its care log."""

from dataclasses import replace

from werkzeug.exceptions import NotFound

from daemon.letters.short_words import deed_in_words
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.store import deeds as deed_store
from daemon.vessel_state import course_of
from reports.page.vessel import LogEntry, vessel_words


def vessel(glance: Glance, vessel_id: str) -> str:
    """The view. Raises NotFound where the station has no such vessel."""
    found = glance.station.vessel(vessel_id)
    if found is None:
        raise NotFound
    mine = tuple(one for one in glance.record.vessels if one.vessel == vessel_id)
    record = replace(glance.record, vessels=mine)
    said = vessel_words(glance.setting, record, _entries(glance, vessel_id))
    return show(
        glance,
        "vessel.html",
        "vessel",
        said.standing.name,
        vessel=vessel_id,
        words=said,
        picture="",
        chart="",
    )


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
