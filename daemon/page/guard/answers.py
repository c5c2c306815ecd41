"""What the door answers with, and what it knows of cookies and paths."""

from dataclasses import dataclass

from flask import Response
from werkzeug.wrappers import Response as AnyResponse

from reports.page import door
from reports.page.rendering import render

SESSION_COOKIE, DEVICE_COOKIE = "naupliad-session", "naupliad-device"
SIGN_IN, SIGN_OUT = "/pin", "/sign-out"  # pin.html names them too
MOST_BODY_KB = 64
# What the server takes in before the door sees it; a form a little too large hears the page's own line.
MOST_HEADER_BYTES = 16 * 1024
MOST_REQUEST_BYTES = 2 * MOST_BODY_KB * 1024
_LONGEST_PATH = 500


@dataclass(frozen=True, slots=True)
class HeldForm:
    """What was filled into a form, packed (see held.py), and the path it was sent to; both empty for none."""

    fields: str = ""
    to: str = ""


NOTHING_HELD = HeldForm()


def bare_line(line: str, status: int) -> Response:
    """One line and nothing of the page: for whom the page is not there at all."""
    return Response(line + "\n", status, content_type="text/plain; charset=utf-8")


def refused_form(language: str, line: str, status: int = 403) -> Response:
    """A form that was not taken, and a way back."""
    return Response(render("fault.html", language, title=door.not_noted(language), line=line), status)


def pin_form(
    language: str,
    state: str,
    status: int = 200,
    *,
    line: str = "",
    next_page: str = "/",
    held: HeldForm = NOTHING_HELD,
    reading: bool = False,
) -> Response:
    """The form that asks for the PIN, with what is wrong so far; `next_page` is where it leads.

    `held` is what was filled in by somebody who was not signed in. `state` is "out", "in" (a form to
    sign out) or "none" (how to set a PIN); `reading` where nothing is shown without it.
    """
    text = render(
        "pin.html",
        language,
        title=door.title(language, state),
        state=state,
        line=line,
        next=next_page,
        held=held,
        reading=reading,
        nav=not reading,
    )
    return Response(text, status)


def set_cookie(answer: AnyResponse, name: str, value: str, longest_s: int | None) -> None:
    """A cookie for this page alone; without `longest_s` the browser forgets it when it ends."""
    # No Secure: a browser drops such a cookie over http. Strict is withheld after a link in a web mailer.
    answer.set_cookie(name, value, max_age=longest_s, httponly=True, samesite="Lax")


def own_path(told: str | None) -> str:
    """Where to go on after signing in: a path of this page, else its first one."""
    if told and told.startswith("/") and told.isprintable() and told.isascii() and len(told) <= _LONGEST_PATH:
        # A browser takes // and /\ for the beginning of another machine's name.
        return told if told[1:2] not in ("/", "\\") else "/"
    return "/"
