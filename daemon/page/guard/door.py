"""The way in: the guard before every view, the headers on every answer, the views to sign in and out."""

import os
import socket
import time
from collections.abc import Callable, Mapping
from pathlib import Path

from flask import Flask, Response, g, request
from werkzeug.wrappers import Response as AnyResponse

from daemon.page.first_plan import first_plan
from daemon.page.guard import sign_in
from daemon.page.guard.answers import MOST_BODY_KB, SIGN_IN, SIGN_OUT
from daemon.page.guard.desk import SignInDesk
from daemon.page.guard.feed import NEW_KEY, FeedKey
from daemon.page.guard.headers import put_headers
from daemon.page.guard.visit import NAME, Guard, csrf_field, may_write, sign_in_path
from daemon.station import Station
from reports.page.rendering import environment

_MOST_FIELDS = 200


def protect(
    app: Flask,
    *,
    folder: Path,
    station: Callable[[], Station | None],
    now: Callable[[], float] = time.time,
    machine: str | None = None,
    environ: Mapping[str, str] = os.environ,
) -> Guard:
    """Put the guard before every view of `app`: called before anything else that looks at requests.

    `folder` is the page's own; `station` gives the station as its records know it (None where there is none),
    and is asked once a request; `machine` is the machine's host name, its own where None. `environ` may name
    a PIN, and who may come while there is no station. Templates may call `csrf_field`, `may_write` and
    `sign_in_path`. Raises InputError as `first_plan` does.
    """
    desk, feed = SignInDesk(folder, now, environ), FeedKey(folder, now)
    guard = Guard(desk, feed, station, machine or socket.gethostname(), first_plan(environ))
    app.extensions[NAME] = guard
    app.config["MAX_CONTENT_LENGTH"] = app.config["MAX_FORM_MEMORY_SIZE"] = MOST_BODY_KB * 1024
    app.config["MAX_FORM_PARTS"] = _MOST_FIELDS

    def before() -> AnyResponse | None:
        g.guard_now = now()
        return guard.refusal()

    def after(answer: Response) -> Response:
        put_headers(answer.headers, is_static=request.endpoint == "static" and answer.status_code < 400)
        return answer

    app.before_request(before)
    app.after_request(after)
    app.add_url_rule(SIGN_IN, "show_sign_in", sign_in.show, methods=["GET"])
    app.add_url_rule(SIGN_IN, "sign_in", sign_in.take, methods=["POST"])
    app.add_url_rule(SIGN_OUT, "sign_out", sign_in.leave, methods=["POST"])
    app.add_url_rule(NEW_KEY, "new_feed", sign_in.new_feed, methods=["POST"])
    environment().globals.update(csrf_field=csrf_field, may_write=may_write, sign_in_path=sign_in_path)
    return guard
