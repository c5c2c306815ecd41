"""All vessels, as they stand on the shelf; what needs doing first."""

from daemon.page.glance import Glance
from daemon.page.pictures import pictures
from daemon.page.shown import show
from reports.page import shelf as words
from reports.page.drawn import MANY


def shelf(glance: Glance) -> str:
    """The first view."""
    standings = words.shelf(glance.setting, glance.record)
    return show(
        glance,
        "shelf.html",
        "shelf",
        words.title(glance.setting),
        first=words.first_of_all(glance.setting, glance.record),
        standings=standings,
        many=len(standings) >= MANY,
        pictures=pictures(glance, glance.record, "full"),
    )
