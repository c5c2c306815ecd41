"""All vessels, as they stand on the shelf; what needs doing first."""

from daemon.page.glance import Glance
from daemon.page.pictures import pictures
from daemon.page.shown import show
from daemon.page.to_do import tasks_of
from reports.page import shelf as words
from reports.page.drawn import MANY


def shelf(glance: Glance) -> str:
    """The first view."""
    _, _, found = tasks_of(glance)
    standings = words.shelf(glance.setting, glance.record, found)
    return show(
        glance,
        "shelf.html",
        "shelf",
        words.title(glance.setting),
        first=words.first_of_all(glance.setting, glance.record, found),
        standings=standings,
        many=len(standings) >= MANY,
        pictures=pictures(glance, glance.record, "full"),
    )
