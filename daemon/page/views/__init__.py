"""The views: each makes a page from a glance at the station. A new one has a row here."""

from collections.abc import Callable, Mapping
from typing import Any

from daemon.page.views.classroom import classroom
from daemon.page.views.shelf import shelf
from daemon.page.views.take_away import calendar_feed, lesson, records, take_away
from daemon.page.views.today import today
from daemon.page.views.vessel import vessel

VIEWS: Mapping[str, Callable[..., Any]] = {
    "/": shelf,
    "/today": today,
    "/vessel/<vessel_id>": vessel,
    "/class": classroom,
    "/take-away": take_away,
    "/calendar.ics": calendar_feed,
    "/lesson/<int:batch_id>.zip": lesson,
    "/records.zip": records,
}
