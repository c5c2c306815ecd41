"""A view as it is shown: its template with what all of them share."""

from flask import request

from daemon.page.glance import Glance
from reports.page import frame
from reports.page.rendering import render


def show(glance: Glance, template: str, here: str, title: str, **values: object) -> str:
    """The page. `here` is the view's key, `title` its name in the tab, in the station's language."""
    read_at = None if glance.newest_at is None else glance.local(glance.newest_at)
    watch = frame.WatchState(glance.language, glance.local(glance.at), glance.watched, read_at, glance.played)
    return render(
        template,
        glance.language,
        here=here,
        title=title,
        station=glance.station.name,
        notices=frame.notices(watch),
        calm=glance.played,
        moment=frame.as_of(watch),
        may_note=glance.watched and not glance.played,
        **values,
    )


def address_of(glance: Glance) -> str:
    """What other machines call the page: as the station file says, else as this browser calls it."""
    return glance.station.page.address or request.host_url.rstrip("/")
