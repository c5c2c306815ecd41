"""A view as it is shown: its template with what all of them share."""

from daemon.page.look import Look
from reports.page import frame
from reports.page.rendering import environment, render


def show(look: Look, template: str, here: str, title: str, **values: object) -> str:
    """The page. `here` is the view's key, `title` its name in the tab, in the station's language."""
    environment().globals["views"] = frame.views
    read_at = None if look.newest_at is None else look.local(look.newest_at)
    watch = frame.Watch(look.language, look.local(look.at), look.watched, read_at, look.played)
    return render(
        template,
        look.language,
        here=here,
        title=title,
        station=look.station.name,
        notices=frame.notices(watch),
        moment=frame.as_of(watch),
        may_note=look.watched and not look.played,
        **values,
    )
