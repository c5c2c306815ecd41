"""What is to be done, in order."""

from daemon.page.due import due
from daemon.page.glance import Glance
from daemon.page.shown import show
from reports.page import shelf, tasks
from reports.page.today import coming, links, title


def today(glance: Glance) -> str:
    """Every task with its doses, and what comes next."""
    what = tasks.tasks(glance.setting, glance.record, due(glance))
    return show(
        glance,
        "today.html",
        "today",
        title(glance.setting),
        tasks=what,
        task_links=links,
        rest=shelf.first_of_all(glance.setting, glance.record),
        coming=coming(glance.setting, glance.record),
    )
