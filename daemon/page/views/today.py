"""What is to be done, in order."""

from functools import partial

from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.page.to_do import tasks_of
from reports.page import shelf, tasks
from reports.page.today import coming, links, title

_MOST_COMING = 6  # what comes later is folded away


def today(glance: Glance) -> str:
    """Every task with its doses, and what comes next."""
    due, planned, what = tasks_of(glance)
    once = tasks.said_once(glance.setting, what)
    return show(
        glance,
        "today.html",
        "today",
        title(glance.setting),
        tasks=what,
        once=once,
        care_of=partial(tasks.own_care, glance.setting, once=once),
        task_links=links,
        rest=shelf.first_of_all(glance.setting, glance.record, what),
        most=_MOST_COMING,
        coming=coming(glance.setting, glance.record, due, planned),
    )
