"""The end of a class: its steps, and the report of a vessel's last batch. Nothing is done here."""

from markupsafe import Markup
from werkzeug.exceptions import NotFound

from daemon.errors import InputError
from daemon.letters.batch_accounts import accounts
from daemon.letters.class_end import class_end
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.store import batches as batch_store
from reports.batch.account import written
from reports.batch.wiped import bounds
from reports.page import batch as words
from reports.page.plot.figure import vessel_plot

_WHOLE = "batch"


def wrap_up(glance: Glance) -> str:
    """The steps as they stand."""
    station, at = glance.station, glance.at
    last = batch_store.last_of(glance.connection, at)
    return show(
        glance,
        "plan/wrap_up.html",
        "plan",
        words.title(glance.setting),
        steps=class_end(station, glance.connection, station.vessels, at, bounds(glance.setting)),
        ends=[
            (one.vessel, words.end_name(glance.setting, one.vessel))
            for one in last.values()
            if one.ended_at is None and not glance.played
        ],
        reports=[
            (vessel.id, words.report_name(glance.setting, vessel.id))
            for vessel in station.vessels
            if vessel.id in last
        ],
    )


def batch_report(glance: Glance, vessel_id: str) -> str:
    """The report of a vessel's last batch, as the records have it. Raises NotFound where there is none."""
    vessel, newest = glance.station.vessel(vessel_id), glance.newest_at
    if vessel is None or newest is None:
        raise NotFound
    try:
        account = accounts(glance.station, glance.connection, [vessel], newest, believed=False)
    except InputError:
        raise NotFound from None
    (batch,) = account.batches
    card = words.card_of(written(account))
    chart = vessel_plot(batch.record, vessel_id, _WHOLE, now=False)
    return show(
        glance,
        "plan/batch.html",
        "plan",
        card.title,
        card=card,
        chart=Markup(chart),  # noqa: S704 - it escapes
    )
