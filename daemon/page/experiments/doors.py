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
        ("/experiment/<int:number>/discard", "discard", discard),
    ):
        doors.add_url_rule(path, endpoint, view, methods=["POST"])
    return doors, {"experiments.begin": begin_again, "experiments.count": count_again}
