"""The addresses at which an experiment is begun, counted, and a count taken back.

What is behind them is loaded when somebody first asks.
"""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from flask import Blueprint, request
from werkzeug.datastructures import MultiDict

from daemon.page.glance import Moment, glancing


def make_experiments(state: Path, moment: Moment) -> tuple[Blueprint, Mapping[str, Callable[..., Any]]]:
    """What is sent to the station whose records stand in `state`, and by the endpoint of a form what shows it
    again (see `Guard.again`)."""

    def begin() -> Any:
        from daemon.page.experiments.begin import begun

        with glancing(state, moment) as glance:
            return begun(glance, request.form)

    def begin_again(form: MultiDict[str, str]) -> str:
        from daemon.page.experiments.begin import again

        with glancing(state, moment) as glance:
            return again(glance, form)

    def count(number: int) -> Any:
        from daemon.page.experiments.counting import counted

        with glancing(state, moment) as glance:
            return counted(glance, number, request.form)

    def count_again(form: MultiDict[str, str], number: int) -> str:
        from daemon.page.experiments.counting import again

        with glancing(state, moment) as glance:
            return again(glance, number, form)

    def take_back(number: int) -> Any:
        from daemon.page.experiments.counting import taken_back

        with glancing(state, moment) as glance:
            return taken_back(glance, number, request.form)

    def lost(number: int) -> Any:
        from daemon.page.experiments.counting import lost

        with glancing(state, moment) as glance:
            return lost(glance, number, request.form)

    def look_over(number: int) -> Any:
        from daemon.page.experiments.table import looked_over

        with glancing(state, moment) as glance:
            return looked_over(glance, number, request.files.get("table"))

    def keep_table(number: int) -> Any:
        from daemon.page.experiments.table import kept

        with glancing(state, moment) as glance:
            return kept(glance, number, request.form)

    def keep_table_again(form: MultiDict[str, str], number: int) -> Any:
        from daemon.page.experiments.table import looked_over_again

        with glancing(state, moment) as glance:
            return looked_over_again(glance, number, form)

    def discard(number: int) -> Any:
        from daemon.page.experiments.counting import discarded

        with glancing(state, moment) as glance:
            return discarded(glance, number)

    doors = Blueprint("experiments", __name__)
    for path, endpoint, view in (
        ("/plan/experiment", "begin", begin),
        ("/experiment/<int:number>", "count", count),
        ("/experiment/<int:number>/back", "take_back", take_back),
        ("/experiment/<int:number>/lost", "lost", lost),
        ("/experiment/<int:number>/table", "look_over", look_over),
        ("/experiment/<int:number>/counts", "keep_table", keep_table),
        ("/experiment/<int:number>/discard", "discard", discard),
    ):
        doors.add_url_rule(path, endpoint, view, methods=["POST"])
    again: Mapping[str, Callable[..., Any]] = {
        "begin": begin_again,
        "count": count_again,
        "keep_table": keep_table_again,
    }
    return doors, {f"experiments.{endpoint}": view for endpoint, view in again.items()}
