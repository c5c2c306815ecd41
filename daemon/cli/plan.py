"""naupliad plan: before the cups are set. Each plan is a module of its own."""

import click

from daemon.cli import ByName

# By name: its module, in which the command has that name, and its line in the list.
_PLANS = {
    "cone": ("plan_cone", "Say when a cone's harvest opens and closes, and what comes of it."),
    "dose": ("plan_dose", "Work out water, salt, baking soda and cysts, and what to buy."),
    "calendar": ("plan_start", "Write the days of a planned start as a calendar."),
    "kept": ("plan_kept", "List planned starts that were kept, or take one back."),
    "start": ("plan_start", "Say when to set cysts so that they hatch in a lesson."),
}


@click.group(cls=ByName, rows=_PLANS)
def plan() -> None:
    """Work out doses, times and harvests before the cups are set. Nothing is recorded."""
