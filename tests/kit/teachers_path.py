"""What a teacher does from a machine that was never set up to a station that watches, in a browser."""

import re
from collections.abc import Callable
from typing import Any

from tests.kit.command_line import until
from tests.kit.mail_server import SECRET
from tests.kit.new_station import ROOM, USER, WATER, NewStation
from tests.kit.page_station import PIN

WEEK = ("Mon", "Tue", "Wed", "Thu", "Fri")
_A_WHILE_MS = 30_000
SET_UP_PAGES = (
    "/set-up",
    "/set-up/room",
    "/set-up/probes",
    "/set-up/ice/water",
    "/set-up/vessels",
    "/set-up/vessels/1",
    "/set-up/letters",
    "/set-up/page",
    "/set-up/keep",
    "/set-up/checkup",
)


def walk(page: Any, station: NewStation, told: Callable[[str], None], *, script: bool = True) -> None:
    """All of it, without leaving the page; `told` is told the name of each step once it shows. Without
    `script` the page does not look by itself, and the teacher taps where it says so."""
    page.set_default_timeout(_A_WHILE_MS)

    def seen(step: str) -> None:
        page.wait_for_load_state()  # a click returns when the next page begins, empty yet
        told(step)

    def awaited(shown: Any) -> None:
        if script:
            shown.wait_for()
            return

        def looked() -> bool:
            page.locator("main").get_by_text("Look again", exact=True).click()
            return bool(shown.is_visible())

        until("it shows", looked)

    page.goto(station.address)
    seen("nothing is set up yet")
    page.get_by_role("link", name="Set it up").click()
    page.get_by_label("PIN").fill(PIN)
    page.keyboard.press("Enter")
    page.get_by_role("link", name="Begin").click()
    seen("room")
    _room(page)
    seen("probes")
    _probes(page, station, seen, awaited)
    page.get_by_role("link", name="Describe the first").click()
    _cup(page)
    seen("cups")
    page.get_by_role("link", name="Next").click()
    seen("letters")
    _letters(page, station)
    seen("sample sent")
    page.get_by_role("button", name="Next").click()
    seen("this page")
    page.get_by_role("button", name="Next").click()
    seen("look over")
    page.get_by_role("button", name="Keep it").click()
    awaited(page.get_by_role("heading", name="The station watches"))
    seen("it watches")
    page.get_by_role("link", name="To the shelf").click()
    page.get_by_role("heading", name=re.compile("otter")).first.wait_for()
    seen("shelf")


def sign_in(page: Any, station: NewStation, language: str) -> None:
    """Somebody else comes, and has the set-up speak another language."""
    page.goto(f"{station.address}/set-up/room")
    page.get_by_label("PIN").fill(PIN)
    page.keyboard.press("Enter")
    page.locator("#language").select_option(language)
    page.locator(".deeds button").first.click()


def _room(page: Any) -> None:
    page.get_by_label("What is this place called?").fill("Room 12")
    for day in WEEK:
        page.get_by_role("group", name="Hours 1").get_by_label(day).check()
    page.locator("#attended-from-1").fill("08:00")
    page.locator("#attended-to-1").fill("15:30")
    page.get_by_role("button", name="Next").click()


def _probes(
    page: Any, station: NewStation, seen: Callable[[str], None], awaited: Callable[[Any], None]
) -> None:
    """Which is which is found by a hand; the one for the water is checked in ice."""
    rows = page.locator("fieldset[data-number]")
    air, water = (rows.filter(has_text=number) for number in (ROOM, WATER))
    station.warm(ROOM, 25.0)
    awaited(air.get_by_text("it is in your hand"))
    seen("one in a hand")
    air.get_by_label("Call it").fill("air")
    air.get_by_label("It measures").select_option("room_c")
    water.get_by_label("Call it").fill("water")
    page.get_by_role("button", name="Next").click()
    page.get_by_role("link", name="The probes").click()
    page.get_by_role("link", name="Check it in ice water water").click()
    seen("ice")
    station.warm(WATER, 0.5)
    page.get_by_role("button", name="Begin").click()
    found = page.get_by_role("button", name="Take 0.50 °C off what it reads")
    awaited(found)
    found.click()
    seen("corrected")
    station.warm(WATER, 21.0)
    page.get_by_role("button", name="Next").click()


def _cup(page: Any) -> None:
    for field, value in (
        ("id", "otter"),
        ("count", "6"),
        ("mark_ml", "250"),
        ("across_cm", "7"),
        ("low_ml", "40"),
    ):
        page.locator(f"#{field}").fill(value)
    page.locator("#lamp-from-1").fill("18:00")
    page.locator("#lamp-to-1").fill("07:00")
    page.get_by_role("button", name="Done").click()


def _letters(page: Any, station: NewStation) -> None:
    page.get_by_label("by mail").check()
    for field, value in (
        ("smtp_host", "localhost"),
        ("smtp_port", str(station.mail_port)),
        ("user", USER),
        ("password", SECRET),
        ("from", "cups@school.example"),
        ("to", "teacher@school.example"),
    ):
        page.locator(f"#{field}").fill(value)
    page.get_by_role("button", name="sample letter").click()
    page.get_by_text("The sample letter was taken").wait_for()
