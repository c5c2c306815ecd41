"""All vessels, as they stand on the shelf; what needs doing first."""

from daemon.page.glance import Glance
from daemon.page.shapes import covered, shapes
from daemon.page.shown import show
from reports.page import shelf as words
from reports.page.drawn import drawn


def shelf(glance: Glance) -> str:
    """The first view."""
    standings = words.shelf(glance.setting, glance.record)
    many = len(standings) >= words.MANY
    return show(
        glance,
        "shelf.html",
        "shelf",
        words.title(glance.setting),
        first=words.first_of_all(glance.setting, glance.record),
        standings=standings,
        many=many,
        pictures=drawn(
            glance.setting, glance.record, shapes(glance), covered(glance), "small" if many else "full"
        ),
    )
