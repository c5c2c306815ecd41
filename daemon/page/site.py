"""The page's addresses: which view answers which, and what is said where none does."""

import hashlib
import os
import time
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path

from flask import Flask, Response
from werkzeug.datastructures import MultiDict
from werkzeug.exceptions import HTTPException

from daemon.errors import NaupliadError
from daemon.page import fault
from daemon.page.deeds.doors import make_deeds
from daemon.page.experiments.doors import make_experiments
from daemon.page.glance import Moment, glancing
from daemon.page.guard.door import protect
from daemon.page.guard.pin import page_folder
from daemon.page.known_station import KnownStation
from daemon.page.plan_doors import make_plans
from daemon.page.setting_up.doors import make_set_up
from daemon.page.station_forms import STATION_FORMS, StationForm
from daemon.page.views import VIEWS
from daemon.page.views.station import carried_out, held
from daemon.seconds import DAY_S
from daemon.stored_station import moment_of
from reports.page import frame
from reports.page.rendering import STATIC, environment

# A file's address changes with its content, so whoever has it keeps it.
_KEPT_S = 30 * DAY_S


def make_site(
    state: Path,
    *,
    moment: Moment = moment_of,
    clock: Callable[[], float] = time.time,
    machine: str = "",
    environ: Mapping[str, str] = os.environ,
) -> Flask:
    """The page of the station whose records stand in `state`; who may write is kept in a folder beside it.

    `moment` says what time it is at the station, `clock` for those who sign in, Unix seconds; `machine` is
    the name that the machine is called by, its own where it is empty. For `environ` see `protect`.
    """
    site = Flask("naupliad", static_folder=str(STATIC), static_url_path="/static", template_folder=None)
    site.config["SEND_FILE_MAX_AGE_DEFAULT"] = _KEPT_S
    environment().globals.update(static=_static, views=frame.views)
    station = KnownStation(state)
    guard = protect(
        site,
        folder=page_folder(state),
        station=station,
        now=clock,
        machine=machine or None,
        environ=environ,
    )
    for path, view in VIEWS.items():
        site.add_url_rule(path, path, partial(_seen, state, moment, view), methods=["GET"])
    for path, form in STATION_FORMS.items():
        site.add_url_rule(path, path, partial(_carried_out, state, moment, form), methods=["POST"])
        guard.again[path] = partial(_held, state, moment)
    for blueprint, again in (
        make_deeds(state, moment),
        make_experiments(state, moment),
        make_plans(state, moment),
        make_set_up(state, clock),
    ):
        site.register_blueprint(blueprint)
        guard.again.update(again)
    site.register_error_handler(HTTPException, fault.of_http)
    site.register_error_handler(NaupliadError, partial(fault.of_store, state))
    return site


def _seen(
    state: Path, moment: Moment, view: Callable[..., str | Response], **named: str | int
) -> str | Response:
    with glancing(state, moment) as glance:
        return view(glance, **named)


def _carried_out(state: Path, moment: Moment, form: StationForm) -> Response | tuple[str, int]:
    """The guard has let it pass: whoever sends a form is signed in."""
    with glancing(state, moment) as glance:
        return carried_out(glance, form)


def _held(state: Path, moment: Moment, form: MultiDict[str, str]) -> str:
    with glancing(state, moment) as glance:
        return held(glance, form)


def _static(name: str) -> str:
    """A file's address, other for each content: who kept an older one asks anew."""
    digest = hashlib.sha256((STATIC / name).read_bytes()).hexdigest()[:10]
    return f"/static/{name}?{digest}"
