"""The addresses at which a planned start is kept and taken back.

What is behind them is loaded when somebody first asks.
"""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from flask import Blueprint, request
from werkzeug.datastructures import MultiDict

from daemon.page.glance import Moment, glancing


def make_starts(state: Path, moment: Moment) -> tuple[Blueprint, Mapping[str, Callable[..., Any]]]:
    """What is sent to the station whose records stand in `state`, and by the endpoint of a form what shows it
    again (see `Guard.again`)."""

    def keep() -> Any:
        from daemon.page.start_keeping import kept

        with glancing(state, moment) as glance:
            return kept(glance, request.form)

    def again(form: MultiDict[str, str]) -> str:
        from daemon.page.start_keeping import held

        with glancing(state, moment) as glance:
            return held(glance, form)

    def take_back() -> Any:
        from daemon.page.start_keeping import taken_back

        with glancing(state, moment) as glance:
            return taken_back(glance, request.form)

    doors = Blueprint("starts", __name__)
    doors.add_url_rule("/plan/start", "keep", keep, methods=["POST"])
    doors.add_url_rule("/plan/start/back", "take_back", take_back, methods=["POST"])
    return doors, {"starts.keep": again, "starts.take_back": again}
