"""The addresses at which something of a plan is kept or taken back: a start, a tin's test.

What is behind them is loaded when somebody first asks.
"""

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

from flask import Blueprint, request
from werkzeug.datastructures import MultiDict

from daemon.page.glance import Glance, Moment, glancing

Form = MultiDict[str, str]
Taken = Callable[[Glance, Form], Any]


def _keep_start(glance: Glance, form: Form) -> Any:
    from daemon.page.start_keeping import kept

    return kept(glance, form)


def _start_back(glance: Glance, form: Form) -> Any:
    from daemon.page.start_keeping import taken_back

    return taken_back(glance, form)


def _start_again(glance: Glance, form: Form) -> str:
    from daemon.page.start_keeping import held

    return held(glance, form)


def _keep_test(glance: Glance, form: Form) -> Any:
    from daemon.page.tin_keeping import kept

    return kept(glance, form)


def _test_back(glance: Glance, form: Form) -> Any:
    from daemon.page.tin_keeping import taken_back

    return taken_back(glance, form)


def _test_again(glance: Glance, form: Form) -> str:
    from daemon.page.tin_keeping import kept_again

    return kept_again(glance, form)


# By address: the form's name, what takes it, and what shows it again to whoever signed in in between.
_FORMS: Mapping[str, tuple[str, Taken, Taken | None]] = {
    "/plan/start": ("keep_start", _keep_start, _start_again),
    "/plan/start/back": ("start_back", _start_back, _start_again),
    "/plan/tin/keep": ("keep_test", _keep_test, _test_again),
    "/plan/tins/back": ("test_back", _test_back, None),
}


def make_plans(state: Path, moment: Moment) -> tuple[Blueprint, Mapping[str, Callable[..., Any]]]:
    """What is sent to the station whose records stand in `state`, and by the endpoint of a form what shows it
    again (see `Guard.again`)."""

    def taken(takes: Taken) -> Any:
        with glancing(state, moment) as glance:
            return takes(glance, request.form)

    def shown(shows: Taken, form: Form) -> Any:
        with glancing(state, moment) as glance:
            return shows(glance, form)

    doors, again = Blueprint("plans", __name__), {}
    for path, (name, takes, shows) in _FORMS.items():
        doors.add_url_rule(path, name, partial(taken, takes), methods=["POST"])
        if shows is not None:
            again[f"plans.{name}"] = partial(shown, shows)
    return doors, again
