"""All vessels, as they stand on the shelf; what needs doing first."""

from daemon.page.look import Look
from daemon.page.shown import show
from reports.page import shelf as words


def shelf(look: Look) -> str:
    """The first view."""
    standings = words.shelf(look.setting, look.record)
    return show(
        look,
        "shelf.html",
        "shelf",
        words.title(look.setting),
        first=words.first_of_all(look.setting, look.record),
        standings=standings,
        many=len(standings) >= words.MANY,
        pictures={one.vessel: "" for one in standings},
    )
