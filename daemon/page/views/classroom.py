"""For a shared screen in the classroom."""

from daemon.page.glance import Glance
from daemon.page.shapes import covered, shapes
from daemon.page.shown import show
from reports.page.classroom import for_children, title
from reports.page.drawn import drawn
from reports.page.shelf import MANY


def classroom(glance: Glance) -> str:
    """What a child reads from the back row."""
    children = for_children(glance.setting, glance.record)
    many = len(children) >= MANY
    return show(
        glance,
        "class.html",
        "class",
        title(glance.setting),
        children=children,
        pictures=drawn(
            glance.setting, glance.record, shapes(glance), covered(glance), "small" if many else "big"
        ),
        many=many,
        stages={one.vessel: "" for one in children},
    )
