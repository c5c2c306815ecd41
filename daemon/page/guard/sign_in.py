"""The views to sign in and out, and to have a new secret address."""

from collections.abc import Callable
from math import ceil

from flask import g, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from daemon.page.guard.answers import (
    DEVICE_COOKIE,
    SESSION_COOKIE,
    HeldForm,
    own_path,
    pin_form,
    refused_form,
    set_cookie,
)
from daemon.page.guard.desk import SignIn
from daemon.page.guard.origins import visitor_of
from daemon.page.guard.sessions import DEVICE_S, day_ends_at
from daemon.page.guard.visit import guard
from reports.page import door

_LINES: dict[str, Callable[[str, SignIn], str]] = {
    "no-digits": lambda language, _: door.no_digits(language),
    "no-pin": lambda language, _: door.no_pin(language),
    "busy": lambda language, _: door.busy(language),
    "early": lambda language, came: door.too_early(language, came.wait_s),
    "wrong": lambda language, came: door.wrong_pin(language, came.wait_s),
}
_STATUS = {"no-digits": 400, "no-pin": 403, "busy": 429, "early": 429, "wrong": 403}


def show() -> AnyResponse:
    """The view to sign in; to sign out for who is in."""
    if guard().may_write():
        return pin_form(guard().language(), "in")
    return guard().ask_for_pin("", 200, next_page=own_path(request.args.get("next")))


def take() -> AnyResponse:
    """Somebody typed a PIN."""
    next_page = own_path(request.form.get("next"))
    held = HeldForm(request.form.get("held", ""), request.form.get("held_to", ""))
    came = guard().desk.sign_in(
        request.form.get("pin", ""),
        visitor_of(request.remote_addr),
        request.cookies.get(DEVICE_COOKIE),
        day_ends_at(guard().station(), int(g.guard_now)),
    )
    if came.session is None:
        line = _LINES[came.why](guard().language(), came)
        again = guard().ask_for_pin(line, _STATUS[came.why], next_page=next_page, held=held)
        if came.wait_s:
            again.headers["Retry-After"] = str(ceil(came.wait_s))
        return again
    guard().signed_in(came.session)
    answer = guard().shown_again(held) or redirect(next_page, 303)
    set_cookie(answer, SESSION_COOKIE, came.session, None)
    set_cookie(answer, DEVICE_COOKIE, came.device or "", DEVICE_S)
    return answer


def new_feed() -> AnyResponse:
    """The calendar gets another secret address: the guard has let it pass, so who asks is signed in."""
    try:
        guard().feed.renew()
    except OSError:
        return refused_form(guard().language(), door.no_new_feed(guard().language()), 503)
    return redirect("/take-away", 303)


def leave() -> AnyResponse:
    """Somebody goes."""
    guard().desk.sign_out(request.cookies[SESSION_COOKIE])
    answer = redirect("/", 303)
    answer.delete_cookie(SESSION_COOKIE, httponly=True, samesite="Lax")
    return answer
