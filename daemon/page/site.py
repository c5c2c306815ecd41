"""The page's addresses: which view answers which, and what is said where none does."""

import hashlib
from collections.abc import Callable
from functools import partial
from pathlib import Path

from flask import Flask, Response
from werkzeug.exceptions import HTTPException

from daemon.errors import NaupliadError
from daemon.page import fault
from daemon.page.deeds.doors import make_deeds
from daemon.page.look import looking
from daemon.page.views import VIEWS
from reports.page.rendering import STATIC, environment

# A file's address changes with its content, so whoever has it keeps it.
_KEPT_S = 30 * 86_400
_MOST_BYTES = 64 * 1024


def make_site(state: Path) -> Flask:
    """The page of the station whose records stand in `state`."""
    site = Flask("naupliad", static_folder=str(STATIC), static_url_path="/static", template_folder=None)
    site.config.update(SEND_FILE_MAX_AGE_DEFAULT=_KEPT_S, MAX_CONTENT_LENGTH=_MOST_BYTES)
    environment().globals["static"] = _static
    for path, view in VIEWS.items():
        site.add_url_rule(path, view.__name__, partial(_seen, state, view), methods=["GET"])
    site.register_blueprint(make_deeds(state))
    site.register_error_handler(HTTPException, fault.of_http)
    site.register_error_handler(NaupliadError, fault.of_store)
    return site


def _seen(state: Path, view: Callable[..., str | Response], **named: str) -> str | Response:
    with looking(state) as look:
        return view(look, **named)


def _static(name: str) -> str:
    """A file's address, other for each content: who kept an older one asks anew."""
    digest = hashlib.sha256((STATIC / name).read_bytes()).hexdigest()[:10]
    return f"/static/{name}?{digest}"
