"""The page's door in a real browser: what browsers send with forms, keep of cookies, and refuse to others.

Skipped, with the reason, where chromium or the extra `browser` is missing.
"""

import re
import socket
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest

from daemon.page.guard.pin import Cost, page_folder, set_pin
from daemon.store import runs as run_store
from daemon.store.file import WritingStore
from tests.kit.browser import CHROMIUM, browser, found_by_axe, missing
from tests.kit.command_line import begin, ended
from tests.kit.station import station_text, table

pytestmark = [pytest.mark.long, pytest.mark.skipif(bool(missing()), reason=missing())]

PIN, WRONG = "735164", "802943"
QUICK = Cost(2, 8, 1)
NAME = f"{socket.gethostname().partition('.')[0].lower()}.local"


@dataclass
class Running:
    """A page as a process, by its port."""

    state: Path
    port: int

    def at(self, path: str, name: str = NAME) -> str:
        return f"http://{name}:{self.port}{path}"

    def plan(self, **keys: object) -> None:
        """What stands in `[page]` from now on."""
        with closing(WritingStore(self.state)) as store:
            text = station_text() + "\n" + table("[page]", **keys)
            run_store.keep_station_file(store.connection, 1_800_000_000, text)


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    """One that finds the page by its name, and by a foreign one that was made to lead to it."""
    with browser() as started:
        rules = f"--host-resolver-rules=MAP {NAME} 127.0.0.1, MAP evil.example 127.0.0.1"
        yield started.browser_type.launch(executable_path=CHROMIUM, args=[rules])


@pytest.fixture
def page(tmp_path: Path) -> Iterator[Running]:
    state = tmp_path / "naupliad"
    state.mkdir()
    running = Running(state, 0)
    running.plan()
    set_pin(page_folder(state), PIN, QUICK)
    process = begin("page", "--state", state, "--port", "0", folder=tmp_path)
    assert process.stdout is not None
    said = re.fullmatch(r"The page is at http://127\.0\.0\.1:(\d+)\n", process.stdout.readline())
    assert said is not None
    running.port = int(said[1])
    try:
        yield running
    finally:
        process.terminate()
        assert ended(process).err == ""


@contextmanager
def phone(chromium: Any, **how: Any) -> Iterator[Any]:
    """A browser of its own: no cookies, no JavaScript."""
    context = chromium.new_context(**{"java_script_enabled": False, **how})
    try:
        yield context.new_page()
    finally:
        context.close()


def sign_in(shown: Any, page: Running, pin: str = PIN) -> None:
    """By the keyboard alone, as the focus goes."""
    shown.goto(page.at("/pin?next=/pin"))
    while shown.locator("#pin:focus").count() == 0:
        shown.keyboard.press("Tab")
    shown.keyboard.type(pin)
    with shown.expect_navigation():
        shown.keyboard.press("Enter")


def is_in(shown: Any, page: Running) -> bool:
    shown.goto(page.at("/pin"))
    return bool(shown.locator("form[action='/sign-out']").count())


def sign_out(shown: Any) -> None:
    with shown.expect_navigation():
        shown.locator("form[action='/sign-out'] button").press("Enter")


def said(shown: Any) -> str:
    return str(shown.locator("[role=alert]").inner_text())


def test_over_plain_http_by_keyboard_and_without_script_one_signs_in_and_out(
    chromium: Any, page: Running
) -> None:
    with phone(chromium) as shown:
        sign_in(shown, page)
        assert is_in(shown, page)
        sign_out(shown)
        assert not is_in(shown, page)


def test_five_wrong_pins_keep_a_pupil_out_and_not_the_teacher_at_the_same_address(
    chromium: Any, page: Running
) -> None:
    with phone(chromium) as teacher, phone(chromium) as pupil:
        sign_in(teacher, page)
        lines = []
        for _ in range(5):
            sign_in(pupil, page, WRONG)
            lines.append(said(pupil))
        assert lines[0] == "That is not the PIN. You can try again in 5 seconds."
        early = "There were wrong tries, so this one was not looked at."
        assert all(line.startswith(early) for line in lines[1:])
        sign_in(pupil, page)
        assert not is_in(pupil, page)
        assert is_in(teacher, page)
        sign_out(teacher)
        sign_in(teacher, page)
        assert is_in(teacher, page)


@contextmanager
def another_site(html: str) -> Iterator[int]:
    """A web server of somebody else, on another port; its port."""

    class Answers(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.end_headers()
            self.wfile.write(html.encode())

        def log_message(self, *_: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Answers) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        try:
            yield server.server_port
        finally:
            server.shutdown()
            thread.join()


@pytest.mark.parametrize("name", [NAME, "evil.example"])
@pytest.mark.parametrize("policy", ["unsafe-url", "no-referrer"])
def test_a_form_on_another_site_signs_nobody_out_nor_in(
    chromium: Any, page: Running, name: str, policy: str
) -> None:
    """Another port of the same machine is the same site to a browser: it sends the cookie along."""
    fields = f'<input name="pin" value="{PIN}"><input name="form_token" value="x"><button>win</button>'
    forms = "".join(
        f'<form method="post" action="{page.at(path)}">{fields}</form>' for path in ("/sign-out", "/pin")
    )
    html = f'<meta name="referrer" content="{policy}">{forms}'
    with another_site(html) as port, phone(chromium) as teacher, phone(chromium) as stranger:
        sign_in(teacher, page)
        for form in range(2):
            for shown in (teacher, stranger):
                shown.goto(f"http://{name}:{port}/")
                with shown.expect_navigation() as came:
                    shown.locator("button").nth(form).click()
                assert came.value.status == 403
                assert said(shown) == (
                    "The form came from another page. Open the vessel here and do it once more."
                )
        assert is_in(teacher, page)
        assert not is_in(stranger, page)


def test_a_foreign_name_that_leads_to_the_page_shows_nothing_of_it(chromium: Any, page: Running) -> None:
    with phone(chromium) as shown:
        assert shown.goto(page.at("/", "evil.example")).status == 400
        assert (
            shown.locator("body")
            .inner_text()
            .startswith(f"Address: found evil.example:{page.port}; allowed: ")
        )


def test_another_site_can_neither_frame_the_page_nor_read_it(chromium: Any, page: Running) -> None:
    frame = f'<iframe src="{page.at("/pin")}"></iframe>'
    with another_site(frame) as port, phone(chromium, java_script_enabled=True) as shown:
        with shown.expect_console_message(lambda told: "frame-ancestors" in told.text):
            shown.goto(f"http://evil.example:{port}/")
        read = f"fetch('{page.at('/')}').then(() => 'read', () => 'refused')"
        assert shown.evaluate(read) == "refused"


def test_a_script_on_the_page_itself_cannot_see_the_cookies(chromium: Any, page: Running) -> None:
    with phone(chromium, java_script_enabled=True) as shown:
        sign_in(shown, page)
        assert is_in(shown, page)
        assert shown.evaluate("document.cookie") == ""
        assert len(shown.context.cookies()) == 2


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("reading", ["all", "pin"])
def test_axe_finds_nothing_at_the_door_and_it_fits_a_phone(
    chromium: Any, page: Running, scheme: str, reading: str
) -> None:
    page.plan(reading=reading)
    how = {"viewport": {"width": 320, "height": 640}, "color_scheme": scheme, "java_script_enabled": True}
    with phone(chromium, **how) as shown:
        refused: list[str] = []
        shown.on("console", lambda told: refused.append(told.text))

        def well() -> None:
            assert found_by_axe(shown) == []
            assert shown.evaluate("document.documentElement.scrollWidth") <= 320

        shown.goto(page.at("/pin"))
        well()
        sign_in(shown, page, WRONG)
        well()
        (page_folder(page.state) / "tries.json").unlink()
        set_pin(page_folder(page.state), PIN, QUICK)
        sign_in(shown, page)
        assert is_in(shown, page)
        well()
        (page_folder(page.state) / "pin.json").unlink()
        shown.goto(page.at("/pin"))
        well()
        # A status of 403 is told there, too; what the page's own rules forbid it would be.
        assert [line for line in refused if "Content Security Policy" in line] == []
