"""A request as the door sees it: who it comes from, and what it may.

Reading and writing are told apart by the method alone: whatever is sent by POST needs somebody who is
signed in, so a view cannot forget to ask. Nothing may be changed by GET.
"""

import hmac
from collections.abc import Callable
from math import ceil
from typing import Any
from urllib.parse import urlencode, urlsplit

from flask import current_app, g, has_request_context, request
from markupsafe import Markup
from werkzeug.datastructures import MultiDict
from werkzeug.exceptions import HTTPException, MethodNotAllowed
from werkzeug.wrappers import Response as AnyResponse

from daemon.errors import NaupliadError
from daemon.page.guard.answers import (
    NOTHING_HELD,
    SESSION_COOKIE,
    SIGN_IN,
    HeldForm,
    bare_line,
    own_path,
    pin_form,
    refused_form,
)
from daemon.page.guard.desk import SignInDesk
from daemon.page.guard.feed import FEED, KEY, FeedKey
from daemon.page.guard.held import leads_to, packed, told_path, unpacked
from daemon.page.guard.origins import is_own_host, is_own_origin, may_come, own_names, visitor_of
from daemon.page.guard.sessions import Session, form_token
from daemon.station import PagePlan, Station
from reports.page import door
from reports.page.fault import spoken_by

NAME = "naupliad-guard"  # among the app's extensions
TOKEN_FIELD = "form_token"  # noqa: S105 - a field's name
AGAIN = "again"  # a page that loads itself anew adds ?again to its address: that is no use of a session
_METHODS = ("GET", "HEAD", "POST")


class Guard:
    """What is known of the request under way: who sends it, and what that one may."""

    def __init__(
        self,
        desk: SignInDesk,
        feed: FeedKey,
        station: Callable[[], Station | None],
        machine: str,
        first: PagePlan,
    ) -> None:
        """`first` holds while no station is known."""
        self.desk = desk
        self.feed = feed
        self._station = station
        self._machine = machine
        self._first = first
        # By the endpoint that takes a form: what shows it once more with what was filled in, and records
        # nothing. Called with the fields, and with what the address names.
        self.again: dict[str, Callable[..., Any]] = {}

    def may_write(self) -> bool:
        """Whether this request comes from somebody who may note something."""
        session = self._session()
        return session is not None and session.may_write(g.guard_now)

    def may_read(self) -> bool:
        """Whether this request may see the cups."""
        session = self._session()
        return self.plan().reading == "all" or (session is not None and session.may_read(g.guard_now))

    def plan(self) -> PagePlan:
        """Who may what, as the station file has it now; as the page was started where there is none yet."""
        station = self.station()
        return station.page if station is not None else self._first

    def station(self) -> Station | None:
        """The station, looked up once a request."""
        if "guard_station" not in g:
            g.guard_station = self._station()
        found: Station | None = g.guard_station
        return found

    def language(self) -> str:
        """The station's language; where none is known, the browser's."""
        station = self.station()
        return station.language if station is not None else spoken_by(request.accept_languages.values())

    def refusal(self) -> AnyResponse | None:
        """Why this request goes no further; None where it may.

        Raises werkzeug's HTTPException for a method that is none of the page's, and for too large a form.
        """
        plan, host = self.plan(), request.environ.get("HTTP_HOST", "")
        if not is_own_host(host, self._machine, plan):
            return bare_line(door.unknown_name(self.language(), host, own_names(self._machine, plan)), 400)
        if not may_come(request.remote_addr, plan):
            return bare_line(door.not_from_there(self.language()), 403)
        if request.method not in _METHODS:
            raise MethodNotAllowed(_METHODS)
        self._use_session()
        return self._refused_form(plan, host) if request.method == "POST" else self._refused_reading()

    def _refused_form(self, plan: PagePlan, host: str) -> AnyResponse | None:
        if not is_own_origin(request.headers.get("Origin"), host, plan):
            return refused_form(self.language(), door.foreign_form(self.language()))
        if request.path == SIGN_IN:
            return None
        if not self.may_write():
            return self._sign_in_first()
        told = request.form.get(TOKEN_FIELD, "")
        if not hmac.compare_digest(told.encode(), form_token(g.guard_cookie).encode()):
            return self._signed_in_since() or refused_form(self.language(), door.old_form(self.language()))
        return None

    def _sign_in_first(self) -> AnyResponse:
        came_from, held = own_path(urlsplit(request.referrer or "").path), self._held()
        line = door.sign_in_and_go_on if held.to else door.sign_in_first
        return self.ask_for_pin(line(self.language()), 403, next_page=came_from, held=held)

    def _held(self) -> HeldForm:
        fields = packed(request.form.items(multi=True), TOKEN_FIELD)
        return (
            HeldForm(fields, told_path(request.path))
            if fields and request.endpoint in self.again
            else NOTHING_HELD
        )

    def _signed_in_since(self) -> AnyResponse | None:
        """A form of an earlier session, shown again under the one that holds now."""
        shown = self.shown_again(self._held())
        if shown is not None:
            shown.status_code = 403 if shown.status_code == 200 else shown.status_code
        return shown

    def shown_again(self, held: HeldForm) -> AnyResponse | None:
        """A form once more, with what was filled in and nothing recorded; None where it cannot be shown."""
        found = leads_to(held.to) if held.to else None
        if found is None or found[0] not in self.again:
            return None
        fields: MultiDict[str, str] = unpacked(held.fields)
        try:
            return current_app.make_response(self.again[found[0]](fields, **found[1]))
        except (HTTPException, NaupliadError):  # a vessel that went meanwhile, a store that is away
            return None

    def signed_in(self, cookie: str) -> None:
        """From now on this request comes from the session of that cookie."""
        g.guard_cookie, g.guard_session = cookie, self.desk.session(cookie)

    def _refused_reading(self) -> AnyResponse | None:
        if request.path == SIGN_IN or request.endpoint == "static" or self.may_read():
            return None
        if request.path == FEED and KEY in request.args:
            return self._refused_feed(request.args[KEY])
        return self.ask_for_pin("", 403, next_page=_asked_for())

    def _refused_feed(self, told: str) -> AnyResponse | None:
        wait_s = self.feed.refused_s(told, visitor_of(request.remote_addr))
        if wait_s is None:
            return None
        answer = bare_line(door.old_feed(self.language()), 429 if wait_s else 404)
        if wait_s:
            answer.headers["Retry-After"] = str(ceil(wait_s))
        return answer

    def ask_for_pin(
        self, line: str, status: int, *, next_page: str, held: HeldForm = NOTHING_HELD
    ) -> AnyResponse:
        """The form that asks for the PIN, with what is wrong so far; `next_page` is where it leads."""
        if not self.desk.has_pin():
            return pin_form(self.language(), "none", status, line=door.no_pin(self.language()))
        reading = self.plan().reading == "pin"
        return pin_form(
            self.language(), "out", status, line=line, next_page=next_page, held=held, reading=reading
        )

    def _session(self) -> Session | None:
        found: Session | None = g.get("guard_session")
        return found

    def _use_session(self) -> None:
        g.guard_cookie = request.cookies.get(SESSION_COOKIE)
        g.guard_session = self.desk.session(g.guard_cookie)
        if self.may_write() and request.endpoint != "static" and AGAIN not in request.args:
            self.desk.used(g.guard_session)


def guard() -> Guard:
    """The guard of the page whose request is under way."""
    found: Guard = current_app.extensions[NAME]
    return found


def may_write() -> bool:
    """Whether the request under way comes from somebody who may note something."""
    return has_request_context() and guard().may_write()


def csrf_field() -> Markup:
    """The hidden field of every form sent by POST; empty where nobody is signed in."""
    if not may_write():
        return Markup()
    token = form_token(g.guard_cookie)
    return Markup('<input type="hidden" name="{}" value="{}">').format(TOKEN_FIELD, token)


def sign_in_path() -> str:
    """A link to the PIN that leads back to this view."""
    return f"{SIGN_IN}?{urlencode({'next': _asked_for()})}"


def _asked_for() -> str:
    """The view of the request under way; the first one where none is, or where somebody signs in already."""
    if not has_request_context() or request.path == SIGN_IN or request.method == "POST":
        return "/"
    return request.full_path.rstrip("?")
