"""The addresses of the set-up. All of it, looking too, is for who gave the PIN: mail addresses stand in it.

What is behind them is loaded when somebody first asks: a station is set up once.
"""

import time
from collections.abc import Callable, Mapping
from functools import partial
from http import HTTPStatus
from pathlib import Path
from typing import Any

from flask import Blueprint, request

from daemon.page.deeds.asking import NotDone
from daemon.page.deeds.pages import Shown
from daemon.page.guard.visit import guard

# An address below /set-up, the method of SetUpPages behind it, and how it is asked.
_DOORS = (
    ("", "overview", "GET"),
    ("/anew", "anew", "POST"),
    ("/<step>", "step", "GET"),
    ("/<step>", "take", "POST"),
    ("/probes/now", "now", "GET"),
    ("/vessels/<int:place>", "vessel", "GET"),
    ("/vessels/<int:place>", "take_vessel", "POST"),
    ("/<any(ice, light):check>/<probe_id>", "check", "GET"),
    ("/<any(ice, light):check>/<probe_id>", "do_check", "POST"),
    ("/no-names", "no_names", "POST"),
    ("/keep", "keep", "POST"),
    ("/begun", "begun", "GET"),
    ("/checkup", "checkup", "GET"),
)


# Forms of steps, by the method that takes them, and what shows them again (see `Guard.again`).
_AGAIN = {"take": "step_again", "take_vessel": "vessel_again"}


def make_set_up(
    state: Path, clock: Callable[[], float] = time.time
) -> tuple[Blueprint, Mapping[str, Callable[..., Any]]]:
    """The set-up of the station whose records stand, or will stand, in `state`, and by the endpoint of a form
    what shows it again."""
    set_up = Blueprint("set_up", __name__, url_prefix="/set-up")
    for path, name, method in _DOORS:
        set_up.add_url_rule(path, name, partial(_for_who_may, state, clock, name), methods=[method])
    again = {f"set_up.{taken}": partial(_for_who_may, state, clock, shown) for taken, shown in _AGAIN.items()}
    return set_up, again


def _for_who_may(state: Path, clock: Callable[[], float], name: str, *form: Any, **named: Any) -> Shown:
    """A view for who gave the PIN; others are asked for it first."""
    if not guard().may_write():
        came_for = request.full_path.rstrip("?")
        return guard().ask_for_pin("", HTTPStatus.FORBIDDEN, next_page=came_for)
    from daemon.page.setting_up.pages import SetUpPages, not_answered

    try:
        shown: Shown = getattr(SetUpPages(state, clock), name)(*form, **named)
    except NotDone as fault:
        return not_answered(fault)
    return shown
