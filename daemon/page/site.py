"""The page's addresses: which view answers which, and what is said where none does."""

import hashlib
from collections.abc import Callable
from functools import partial
from pathlib import Path

from flask import Flask, Response
from werkzeug.exceptions import HTTPException

from daemon.errors import NaupliadError
from daemon.page import fault
from daemon.page.glance import glancing
from daemon.page.guarding import Guard, LetsAllIn
from daemon.page.station_forms import STATION_FORMS, StationForm
from daemon.page.views import VIEWS
from daemon.page.views.station import carried_out
from daemon.seconds import DAY_S
from reports.page import frame
from reports.page.rendering import STATIC, environment

# A file's address changes with its content, so whoever has it keeps it.
_KEPT_S = 30 * DAY_S
_MOST_BYTES = 64 * 1024


def make_site(state: Path, guard: Guard | None = None) -> Flask:
    """The page of the station whose records stand in `state`; `guard` says who may write (None: all)."""
    guard = guard or LetsAllIn()
    site = Flask("naupliad", static_folder=str(STATIC), static_url_path="/static", template_folder=None)
    site.config.update(SEND_FILE_MAX_AGE_DEFAULT=_KEPT_S, MAX_CONTENT_LENGTH=_MOST_BYTES)
    environment().globals.update(static=_static, views=frame.views, csrf_field=guard.csrf_field)
    for path, view in VIEWS.items():
        site.add_url_rule(path, path, partial(_seen, state, view), methods=["GET"])
    for path, form in STATION_FORMS.items():
        site.add_url_rule(path, path, partial(_carried_out, state, form, guard), methods=["POST"])
    site.register_error_handler(HTTPException, fault.of_http)
    site.register_error_handler(NaupliadError, fault.of_store)
    return site


def _seen(state: Path, view: Callable[..., str | Response], **named: str) -> str | Response:
    with glancing(state) as glance:
        return view(glance, **named)


def _carried_out(state: Path, form: StationForm, guard: Guard) -> Response | tuple[str, int]:
    with glancing(state) as glance:
        return carried_out(glance, form, may_write=guard.may_write())


def _static(name: str) -> str:
    """A file's address, other for each content: who kept an older one asks anew."""
    digest = hashlib.sha256((STATIC / name).read_bytes()).hexdigest()[:10]
    return f"/static/{name}?{digest}"
