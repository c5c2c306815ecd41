"""The way to all plans. Each loads what it alone needs."""

from daemon.page.glance import Glance
from daemon.page.shown import show
from reports.page import plans as words


def plans(glance: Glance) -> str:
    """What can be planned."""
    return show(
        glance, "plan/plans.html", "plan", words.title(glance.setting), plans=words.plans(glance.setting)
    )


def plan_wrap_up(glance: Glance) -> str:
    """The end of a class, step by step."""
    from daemon.page.views.wrap_up import wrap_up

    return wrap_up(glance)


def plan_batch_report(glance: Glance, vessel_id: str) -> str:
    """The report of a vessel's last batch."""
    from daemon.page.views.wrap_up import batch_report

    return batch_report(glance, vessel_id)


def plan_dose(glance: Glance) -> str:
    """Salt, soda and cysts for any cups."""
    from daemon.page.views.plan_dose import plan_dose as view

    return view(glance)


def plan_cone(glance: Glance) -> str:
    """When a cone can be drawn off."""
    from daemon.page.views.plan_cone import plan_cone as view

    return view(glance)
