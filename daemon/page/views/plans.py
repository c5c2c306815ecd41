"""The way to all plans."""

from daemon.page.glance import Glance
from daemon.page.shown import show
from reports.page import plans as words


def plans(glance: Glance) -> str:
    """What can be planned."""
    return show(
        glance, "plan/plans.html", "plan", words.title(glance.setting), plans=words.plans(glance.setting)
    )
