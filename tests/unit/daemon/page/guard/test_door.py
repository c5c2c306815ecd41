"""The door before a page of two views: who is let in, who may write, and what everybody else hears."""

import html
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from http.cookies import SimpleCookie
from pathlib import Path
from typing import Any

import pytest
from flask import Flask, request
from werkzeug.exceptions import HTTPException
from werkzeug.test import Client, TestResponse

from daemon.config import parse_station
from daemon.page import fault
from daemon.page.guard.door import protect
from daemon.page.guard.pin import FILE_NAME, Cost, set_pin
from daemon.page.guard.sessions import IDLE_S
from daemon.page.guard.visit import csrf_field, sign_in_path
from daemon.page.site import make_site
from daemon.station import Station
from reports.page.rendering import render
from tests.kit.station import station_text, table

PIN, WRONG = "735164", "802943"
QUICK = Cost(2, 8, 1)  # what a try costs is held by test_pin.py
HOME = "http://naupliad.local:8077"
MONDAY = 1_799_661_600.0  # 2027-01-11T10:00+00:00, within the kit's school hours


@dataclass
class Page:
    """A page with a view to read and a form to write, at a time of its own."""

    folder: Path
    plan: dict[str, Any] = field(default_factory=dict)
    language: str = "en"
    at: float = MONDAY
    has_run: bool = True
    recorded: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.start()

    def start(self, **environ: str) -> None:
        self.app = Flask(__name__, static_folder=str(self.folder), static_url_path="/static")
        self.app.register_error_handler(HTTPException, fault.of_http)
        make_site(self.folder)  # gives the templates what they call
        protect(
            self.app,
            folder=self.folder,
            station=self.station,
            now=lambda: self.at,
            machine="naupliad",
            environ=environ,
        )
        self.app.add_url_rule("/", "shelf", lambda: "the cups")
        self.app.add_url_rule("/do/<vessel>", "do", lambda vessel: vessel + csrf_field())
        self.app.add_url_rule("/do/<vessel>", "done", self.record, methods=["POST"])

    def record(self, vessel: str) -> str:
        self.recorded.append(f"{vessel}: {request.form['deed']}")
        return "recorded"

    def station(self) -> Station | None:
        if not self.has_run:
            return None
        text = station_text(language=self.language) + "\n" + table("[page]", **self.plan)
        return parse_station(text, "station.toml")


@dataclass
class Phone:
    """A browser at an address of its own: it names the page's origin with every form, as browsers do."""

    page: Page
    address: str = "127.0.0.1"
    base: str = HOME

    def __post_init__(self) -> None:
        self.browser = Client(self.page.app, TestResponse)

    def get(self, path: str, **more: Any) -> TestResponse:
        return self.open(path, method="GET", **more)

    def post(self, path: str, origin: str | None = HOME, **form: str) -> TestResponse:
        headers = {} if origin is None else {"Origin": origin}
        return self.open(path, method="POST", data=form, headers=headers)

    def open(self, path: str, **more: Any) -> TestResponse:
        self.browser.application = self.page.app
        return self.browser.open(
            path,
            base_url=self.base,
            environ_overrides={"REMOTE_ADDR": self.address},
            buffered=True,
            **more,
        )

    def sign_in(self, pin: str = PIN, **more: str) -> TestResponse:
        return self.post("/pin", pin=pin, **more)

    def token(self) -> str:
        found = re.search(r'name="form_token" value="(\w+)"', self.get("/do/cup?again=1").text)
        return found[1] if found else ""

    def write(self, **more: str) -> TestResponse:
        return self.post("/do/cup", deed="filled", form_token=self.token(), **more)

    def session(self) -> str:
        cookie = self.browser.get_cookie("naupliad-session", domain="naupliad.local")
        return cookie.value if cookie else ""


def line(answer: TestResponse) -> str:
    """What is said to whoever was not let in."""
    if answer.content_type.startswith("text/plain"):
        (only,) = answer.text.splitlines()
        return only
    found = re.search(r'role="alert"[^>]*>([^<]*)<', answer.text)
    return html.unescape(found[1]) if found else ""


@pytest.fixture
def page(tmp_path: Path) -> Page:
    set_pin(tmp_path, PIN, QUICK)
    return Page(tmp_path)


@pytest.fixture
def teacher(page: Page) -> Phone:
    phone = Phone(page)
    assert phone.sign_in().status_code == 303
    return phone


def test_everybody_may_read_and_who_gives_the_pin_may_write(page: Page) -> None:
    phone = Phone(page)
    assert phone.get("/").text == "the cups"
    assert phone.token() == ""
    came = phone.sign_in(next="/do/cup?deed=filled")
    assert (came.status_code, came.headers["Location"]) == (303, "/do/cup?deed=filled")
    assert phone.write().text == "recorded"
    assert page.recorded == ["cup: filled"]


@pytest.mark.parametrize("listen", ["loopback", "lan"])
def test_nobody_writes_without_a_session_not_even_on_the_machine_itself(page: Page, listen: str) -> None:
    page.plan["listen"] = listen
    refused = Phone(page).post("/do/cup", deed="filled")
    assert refused.status_code == 403
    assert line(refused) == "Nothing was noted: give the PIN first, then do it once more."
    assert 'name="pin"' in refused.text
    assert page.recorded == []


def test_where_no_pin_is_set_nobody_writes_and_the_page_says_how_to_set_one(page: Page) -> None:
    (page.folder / FILE_NAME).unlink()
    for refused in (Phone(page).get("/pin"), Phone(page).sign_in("735164"), Phone(page).write()):
        assert line(refused) == "Nobody can note anything before a PIN is set."
        assert "sudo naupliad page pin" in refused.text
        assert 'name="pin"' not in refused.text
    assert page.recorded == []


def test_with_reading_by_pin_nothing_is_shown_before_it_and_all_of_it_afterwards(page: Page) -> None:
    page.plan["reading"] = "pin"
    (page.folder / "page.css").write_text("ground")
    phone = Phone(page)
    refused = phone.get("/do/cup?deed=filled")
    assert refused.status_code == 403
    assert 'name="next" value="/do/cup?deed=filled"' in refused.text
    assert phone.get("/nowhere").status_code == 403  # not even what there is
    assert phone.get("/static/page.css").text == "ground"
    phone.sign_in()
    assert phone.get("/").text == "the cups"
    page.at += IDLE_S  # a shared screen goes on
    assert phone.get("/").text == "the cups"
    assert phone.token() == ""


def test_five_wrong_pins_make_a_pupil_wait_and_the_teacher_nothing(page: Page, teacher: Phone) -> None:
    page.plan["listen"] = "lan"
    pupil = Phone(page, address="192.168.7.66")
    said = []
    for _ in range(5):
        wrong = pupil.sign_in(WRONG)
        early = pupil.sign_in(PIN)  # not even the right one is looked at
        said.append((wrong.status_code, line(wrong), early.status_code, line(early)))
        page.at += int(early.headers["Retry-After"])
    assert [code for code, _, _, _ in said] == [403] * 5
    assert {code for _, _, code, _ in said} == {429}
    assert said[0][1] == "That is not the PIN. You can try again in 5 seconds."
    assert (
        said[3][3] == "There were wrong tries, so this one was not looked at. You can try again in 2 minutes."
    )
    assert pupil.sign_in(WRONG).status_code in (403, 429)
    assert teacher.write().text == "recorded"
    assert teacher.sign_in().status_code == 303  # signs in anew
    assert Phone(page, address="192.168.7.20").sign_in().status_code == 303  # and with another phone


def test_a_device_that_was_signed_in_is_let_try_beside_those_who_share_its_address(
    page: Page, teacher: Phone
) -> None:
    pupil = Phone(page)
    for _ in range(3):
        pupil.sign_in(WRONG)
    stranger = Phone(page)
    assert stranger.sign_in().status_code == 429
    teacher.post("/sign-out", form_token=teacher.token())
    assert teacher.sign_in().status_code == 303


def test_tries_count_on_when_the_page_starts_anew_and_end_when_a_pin_is_set(page: Page) -> None:
    phone = Phone(page)
    phone.sign_in(WRONG)
    page.start()
    assert phone.sign_in().status_code == 429
    set_pin(page.folder, PIN, QUICK)
    assert phone.sign_in().status_code == 303


def test_tries_from_everywhere_are_soon_refused_in_a_line_each_and_leave_nothing_behind(page: Page) -> None:
    page.plan["listen"] = "lan"
    phone, codes = Phone(page), []
    for number in range(250):
        phone.address = f"10.0.0.{number}"
        if number == 40:
            before = {path.name: path.stat().st_size for path in page.folder.iterdir()}
        codes.append(phone.sign_in(WRONG).status_code)
    assert codes == [403] * 25 + [429] * 225
    assert {path.name: path.stat().st_size for path in page.folder.iterdir()} == before


@pytest.mark.parametrize("typed", ["", "7351", "73516x", "7351640000000", "' OR 1=1 --", "<b>", "٧٣٥١٦٤"])
def test_what_cannot_be_a_pin_costs_no_try(page: Page, typed: str) -> None:
    phone = Phone(page)
    refused = phone.sign_in(typed)
    assert (refused.status_code, line(refused)) == (400, "A PIN has 6 to 12 digits. Nothing was tried.")
    assert typed == "" or typed not in refused.text
    assert phone.sign_in().status_code == 303


@pytest.mark.parametrize(
    "origin", [None, "null", "http://evil.example", "http://naupliad.local", f"https{HOME[4:]}"]
)
def test_a_form_of_another_page_is_refused_with_the_teachers_cookie_and_token(
    page: Page, teacher: Phone, origin: str | None
) -> None:
    refused = teacher.post("/do/cup", origin, deed="filled", form_token=teacher.token())
    assert refused.status_code == 403
    assert line(refused) == "The form came from another page. Open the vessel here and do it once more."
    assert teacher.post("/pin", origin, pin=PIN).status_code == 403  # nor is anybody signed in unawares
    assert page.recorded == []


def test_a_form_without_its_sessions_token_is_refused(page: Page, teacher: Phone) -> None:
    anothers = Phone(page)
    anothers.sign_in()
    for token in ("", "x", anothers.token(), "ä" * 64):
        refused = teacher.post("/do/cup", deed="filled", form_token=token)
        assert refused.status_code == 403
        assert line(refused) == "The form is from before you signed in. Open it anew and do it once more."
    assert page.recorded == []


def test_a_session_ends_after_half_an_hour_without_use_and_a_page_that_loads_itself_is_none(
    page: Page, teacher: Phone
) -> None:
    for _ in range(4):
        page.at += IDLE_S - 1
        teacher.get("/")
    token = teacher.token()
    page.at += IDLE_S - 1
    teacher.get("/?again=1")
    page.at += 1
    refused = teacher.post("/do/cup", deed="filled", form_token=token)
    assert refused.status_code == 403
    assert page.recorded == []


def test_after_the_pin_the_form_that_came_too_late_is_shown_again(page: Page) -> None:
    headers = {"Origin": HOME, "Referer": f"{HOME}/do/cup"}
    refused = Phone(page).open("/do/cup", method="POST", data={"deed": "filled"}, headers=headers)
    assert 'name="next" value="/do/cup"' in refused.text


def test_a_session_ends_with_the_school_day(page: Page, teacher: Phone) -> None:
    for _ in range(11):
        page.at += IDLE_S - 60
        teacher.get("/")
    page.at = MONDAY + 5.5 * 3600 - 1  # 15:29:59
    assert teacher.write().text == "recorded"
    page.at += 1
    assert teacher.write().status_code == 403


def test_signed_out_a_copy_of_the_cookie_is_worth_nothing(page: Page, teacher: Phone) -> None:
    cookie, token = teacher.session(), teacher.token()
    assert teacher.post("/sign-out", form_token=token).status_code == 303
    assert teacher.session() == ""
    for restarted in (False, True):
        if restarted:
            page.start()
        thief = Phone(page)
        thief.browser.set_cookie("naupliad-session", cookie, domain="naupliad.local")
        assert thief.post("/do/cup", deed="filled", form_token=token).status_code == 403
    assert page.recorded == []


def test_a_new_pin_ends_every_session_at_once(page: Page, teacher: Phone) -> None:
    token = teacher.token()
    set_pin(page.folder, "280417", QUICK)
    assert teacher.post("/do/cup", deed="filled", form_token=token).status_code == 403
    assert teacher.sign_in(PIN).status_code == 403


def test_a_session_goes_on_when_the_page_starts_anew(page: Page, teacher: Phone) -> None:
    page.start()
    assert teacher.write().text == "recorded"


@pytest.mark.parametrize("cookie", ["x", "0" * 5000, "=;=", "\xff", '"', "eyJwaW4iOiB0cnVlfQ.Z.x"])
def test_made_up_cookies_let_nobody_in(page: Page, cookie: str) -> None:
    phone = Phone(page)
    headers = {"Cookie": f"naupliad-session={cookie}; naupliad-device={cookie}", "Origin": HOME}
    assert phone.open("/do/cup", method="POST", headers=headers, data={"deed": "filled"}).status_code == 403
    phone.sign_in(WRONG)
    assert phone.open("/pin", method="POST", headers=headers, data={"pin": PIN}).status_code == 429
    assert page.recorded == []


def test_cookies_are_for_this_page_and_no_script(page: Page) -> None:
    cookies = SimpleCookie()
    for told in Phone(page).sign_in().headers.getlist("Set-Cookie"):
        cookies.load(told)
    assert set(cookies) == {"naupliad-session", "naupliad-device"}
    for cookie in cookies.values():
        assert (cookie["httponly"], cookie["samesite"]) == (True, "Lax")
        assert (cookie["path"], cookie["domain"]) == ("/", "")
        assert not cookie["secure"]  # over http a browser would drop it
    assert cookies["naupliad-session"]["max-age"] == ""


@pytest.mark.parametrize(
    "host", ["evil.example", "naupliad.evil.example:8077", "naupliad.local.evil.example"]
)
def test_a_name_that_leads_here_but_is_not_the_pages_is_refused(page: Page, host: str) -> None:
    refused = Phone(page, base=f"http://{host}").get("/")
    assert refused.status_code == 400
    assert line(refused) == (
        f"Address: found {host}; allowed: localhost, naupliad, naupliad.local and naupliad.home.arpa, or this"
        " machine's IP address. Another name goes into [page] address of the station file."
    )


def test_a_visitor_from_where_the_page_does_not_answer_hears_a_line(page: Page) -> None:
    refused = Phone(page, address="192.168.7.66").get("/")
    assert refused.status_code == 403
    assert line(refused) == (
        "Found a visitor from elsewhere; allowed: whom [page] listen of the station file lets in."
    )
    page.plan["listen"] = "lan"
    assert Phone(page, address="192.168.7.66").get("/").text == "the cups"
    assert Phone(page, address="203.0.113.9").get("/").status_code == 403


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "BREW"])
def test_other_methods_are_refused(page: Page, method: str) -> None:
    refused = Phone(page).open("/", method=method)
    assert (refused.status_code, refused.headers["Allow"]) == (405, "GET, HEAD, POST")
    assert line(refused) == "This address is not asked in that way. Nothing was done."


def test_a_form_that_is_too_large_is_refused(page: Page, teacher: Phone) -> None:
    told = teacher.post("/do/cup", deed="x" * 65_536, form_token=teacher.token())
    assert told.status_code == 413
    assert line(told) == "That was too much at once: at most 64 kB are taken. Nothing was done."
    assert page.recorded == []


@pytest.mark.parametrize(
    "ask",
    [
        lambda phone: phone.get("/"),
        lambda phone: phone.get("/nowhere"),
        lambda phone: phone.get("/pin"),
        lambda phone: phone.sign_in(WRONG),
        lambda phone: phone.sign_in(),
        lambda phone: phone.open("/", method="PUT"),
        lambda phone: Phone(phone.page, base="http://evil.example").get("/"),
        lambda phone: phone.get("/static/nowhere.css"),
    ],
)
def test_every_answer_bears_the_headers_and_stays_in_no_cache(
    page: Page, ask: Callable[[Phone], TestResponse]
) -> None:
    headers = ask(Phone(page)).headers
    policy = dict(part.strip().split(" ", 1) for part in headers["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == policy["base-uri"] == policy["frame-ancestors"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["form-action"] == "'self'"
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"
    assert "camera=()" in headers["Permissions-Policy"]
    assert headers["Cache-Control"] == "no-store"


def test_a_view_that_fails_bears_them_too(page: Page) -> None:
    def fails() -> str:
        raise RuntimeError

    page.app.add_url_rule("/fails", "fails", fails)
    answer = Phone(page).get("/fails")
    assert (answer.status_code, answer.headers["Cache-Control"]) == (500, "no-store")
    assert "default-src 'none'" in answer.headers["Content-Security-Policy"]


def test_style_and_script_may_be_kept(page: Page) -> None:
    (page.folder / "page.css").write_text("ground")
    answer = Phone(page).get("/static/page.css")
    assert answer.headers.get("Cache-Control") != "no-store"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize(
    "told",
    ["//evil.example", "/\\evil.example", "http://evil.example", "evil", "", "/x\ny", "/" + "x" * 500, "/ä"],
)
def test_signing_in_leads_nowhere_else(page: Page, told: str) -> None:
    assert Phone(page).sign_in(next=told).headers["Location"] == "/"


def test_who_is_signed_in_is_offered_to_sign_out(page: Page, teacher: Phone) -> None:
    sheet = teacher.get("/pin").text
    assert 'action="/sign-out"' in sheet
    assert teacher.token() in sheet


def test_a_folder_that_takes_nothing_keeps_nobody_out(page: Page, caplog: pytest.LogCaptureFixture) -> None:
    text = (page.folder / FILE_NAME).read_text()
    for path in list(page.folder.iterdir()):
        path.unlink()
    page.folder.rmdir()
    phone = Phone(page)
    assert line(phone.sign_in()) == "Nobody can note anything before a PIN is set."
    page.folder.mkdir()
    (page.folder / FILE_NAME).write_text(text)
    (page.folder / "tries.json").mkdir()  # nothing can be put in its place
    (page.folder / "sessions.json").mkdir()
    assert phone.sign_in().status_code == 303
    assert phone.write().text == "recorded"
    assert len(caplog.messages) == 1
    assert "tries.json: cannot be kept" in caplog.messages[0]


def test_the_page_speaks_the_stations_language_and_without_one_the_browsers(page: Page) -> None:
    for language in ("en", "de"):
        page.language = language
        assert f'<html lang="{language}">' in Phone(page).get("/pin").text
    page.has_run = False
    answer = Phone(page).get("/pin", headers={"Accept-Language": "de-AT"})
    assert '<html lang="de">' in answer.text


def test_before_a_station_has_run_a_phone_comes_only_where_the_page_was_started_so(page: Page) -> None:
    page.has_run = False
    phone = Phone(page, "192.168.7.31")
    assert phone.get("/pin").status_code == 403
    page.start(NAUPLIAD_PAGE_FIRST="lan")
    assert phone.get("/pin").status_code == 200
    assert Phone(page, "203.0.113.9").get("/pin").status_code == 403
    page.has_run = True  # its file says nothing of phones
    assert phone.get("/pin").status_code == 403


def test_before_a_station_has_run_nobody_writes_without_the_pin_and_without_one_hears_how_to_set_it(
    page: Page,
) -> None:
    page.has_run = False
    page.start(NAUPLIAD_PAGE_FIRST="lan")
    phone = Phone(page, "192.168.7.31")
    assert phone.post("/do/cup", deed="filled").status_code == 403
    (page.folder / FILE_NAME).unlink()
    answer = phone.post("/do/cup", deed="filled")
    assert answer.status_code == 403
    assert "naupliad page pin" in answer.text
    assert page.recorded == []


def test_every_page_bears_the_way_in_and_for_whom_is_in_the_way_out(page: Page, teacher: Phone) -> None:
    def way(phone: Phone) -> str:
        (found,) = re.findall(r'<a href="/pin\?next=%2F">([^<]*)</a>', phone.get("/pin").text)
        return str(found)

    assert way(Phone(page)) == "Sign in to note something"
    assert way(teacher) == "Sign out"
    refused = Phone(page).open("/", method="PUT").text  # made before anybody is known
    assert "Sign in to note something" in refused


def test_a_page_that_nobody_asks_for_is_made_as_for_a_stranger(page: Page) -> None:
    assert "Sign in to note something" in render("fault.html", "en", title="", line="")
    assert page.app


def test_a_link_to_the_pin_leads_back_to_where_it_stood(page: Page) -> None:
    page.app.add_url_rule("/today", "today", sign_in_path)
    phone = Phone(page)
    link = phone.get("/today?day=2027-01-11&x=%26").text
    form = html.unescape(phone.get(link).text)
    assert 'name="next" value="/today?day=2027-01-11&x=%26"' in form
