"""For a shared screen in the classroom."""

from daemon.page.look import Look
from daemon.page.shown import show
from reports.page.classroom import for_children, title


def classroom(look: Look) -> str:
    """What a child reads from the back row."""
    children = for_children(look.setting, look.record)
    return show(
        look,
        "class.html",
        "class",
        title(look.setting),
        children=children,
        pictures={one.vessel: "" for one in children},
        stages={one.vessel: "" for one in children},
    )
