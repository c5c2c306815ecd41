"""The addresses at which a tin's test is kept and taken back.

What is behind them is loaded when somebody first asks.
"""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from flask import Blueprint, request
from werkzeug.datastructures import MultiDict

from daemon.page.glance import Moment, glancing


def make_tins(state: Path, moment: Moment) -> tuple[Blueprint, Mapping[str, Callable[..., Any]]]:
    """What is sent to the station whose records stand in `state`, and by the endpoint of a form what shows it
    again (see `Guard.again`)."""

    def keep() -> Any:
        from daemon.page.tin_keeping import kept

        with glancing(state, moment) as glance:
            return kept(glance, request.form)

    def keep_again(form: MultiDict[str, str]) -> str:
        from daemon.page.tin_keeping import kept_again

        with glancing(state, moment) as glance:
            return kept_again(glance, form)

    def take_back() -> Any:
        from daemon.page.tin_keeping import taken_back

        with glancing(state, moment) as glance:
            return taken_back(glance, request.form)

    doors = Blueprint("tins", __name__)
    doors.add_url_rule("/plan/tin/keep", "keep", keep, methods=["POST"])
    doors.add_url_rule("/plan/tins/back", "take_back", take_back, methods=["POST"])
    return doors, {"tins.keep": keep_again}
