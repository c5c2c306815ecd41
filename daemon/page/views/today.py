"""What is to be done, in order."""

from daemon.page.due import due
from daemon.page.look import Look
from daemon.page.shown import show
from reports.page import shelf, tasks
from reports.page.today import coming, links, title


def today(look: Look) -> str:
    """Every task with its doses, and what comes next."""
    what = tasks.tasks(look.setting, look.record, due(look))
    return show(
        look,
        "today.html",
        "today",
        title(look.setting),
        tasks=what,
        task_links=links,
        rest=shelf.first_of_all(look.setting, look.record),
        coming=coming(look.setting, look.record),
    )
