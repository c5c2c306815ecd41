"""The way to all plans. Each loads what it alone needs."""

from daemon.page.glance import Glance
from daemon.page.shown import show
from reports.page import plans as words


def plans(glance: Glance) -> str:
    """What can be planned."""
    return show(
        glance, "plan/plans.html", "plan", words.title(glance.setting), plans=words.plans(glance.setting)
    )


def plan_dose(glance: Glance) -> str:
    """Salt, soda and cysts for any cups."""
    from daemon.page.views.plan_dose import plan_dose as view

    return view(glance)
