"""For a shared screen in the classroom."""

from daemon.page.due import due
from daemon.page.glance import Glance
from daemon.page.pictures import pictures
from daemon.page.shown import show
from reports.page.classroom import for_children, title
from reports.page.drawn import MANY


def classroom(glance: Glance) -> str:
    """What a child reads from the back row."""
    seen = {one.vessel: one.seen for one in due(glance)}
    children = for_children(glance.setting, glance.record, seen)
    return show(
        glance,
        "class.html",
        "class",
        title(glance.setting),
        children=children,
        many=len(children) >= MANY,
        pictures=pictures(glance, glance.record, "big"),
    )
