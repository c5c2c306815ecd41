"""Nights, letters and the station in a real browser: on a phone, dark and light, by keyboard, scriptless.

Skipped, with the reason, where chromium or the extra `browser` is missing.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from daemon.page.site import make_site
from tests.kit.browser import browser, found_by_axe, missing
from tests.kit.page_station import NIGHTS, PIN, Room, cold_room, four_nights, served
from tests.kit.undrawn import undrawn

pytestmark = [pytest.mark.long, pytest.mark.skipif(bool(missing()), reason=missing())]

PHONE_PX = 320
LEAST_PX = 24  # WCAG 2.2, 2.5.8


@contextmanager
def page_at(
    chromium: Any, address: str, *, scheme: str = "light", scripts: bool = True, pin: str = ""
) -> Iterator[Any]:
    """The page at an address on a phone; with a `pin` to somebody who has signed in."""
    context = chromium.new_context(
        viewport={"width": PHONE_PX, "height": 800}, color_scheme=scheme, java_script_enabled=scripts
    )
    try:
        page = context.new_page()
        page.goto(address)
        if pin:
            page.get_by_role("link", name="Sign in to change anything here").click()
            page.get_by_label("PIN").fill(pin)
            page.keyboard.press("Enter")
            page.wait_for_url(address)
        yield page
    finally:
        context.close()


def faults(chromium: Any, address: str, pin: str = "") -> list[str]:
    """What axe finds in both schemes, what is too small to touch, and whether all fits on a phone."""
    found = []
    for scheme in ("light", "dark"):
        with page_at(chromium, address, scheme=scheme, pin=pin) as page:
            found += found_by_axe(page)
            if page.evaluate("document.documentElement.scrollWidth") > PHONE_PX:
                found.append("wider than a phone")
            small = page.evaluate(
                "[...document.querySelectorAll('button, select, input:not([type=hidden]), summary, .button')]"
                f".filter(one => one.checkVisibility() && one.getBoundingClientRect().height < {LEAST_PX})"
                ".map(one => one.outerHTML)"
            )
            found += [f"{address}: too small: {one}" for one in small]
    return found


def test_axe_finds_nothing_in_nights_and_letters_on_a_phone(tmp_path: Path) -> None:
    with undrawn():
        state = four_nights(tmp_path / "nights")
    paths = ("/nights", f"/night/{NIGHTS[2]}", "/night/2020-01-01", "/letter/1", "/letter/3")
    with served(make_site(state)) as address, browser() as chromium:
        assert [fault for path in paths for fault in faults(chromium, address + path)] == []


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    with cold_room(tmp_path, "cup-1", "cup-2", "jar") as room:
        room.desks.tell("set", 0.05, vessel="jar", lot="spring")
        room.desks.requests.answer(
            {"ask": "shelve", "vessel": "jar", "condition": "cold", "until": room.now + 86_400},
            room.now,
            "pi",
        )
        yield room


def test_axe_finds_nothing_in_the_station_and_in_the_grounds_on_a_phone(room: Room) -> None:
    def looked() -> list[str]:
        with served(room.site()) as address, browser() as chromium:
            looks = (("/station", ""), ("/station", PIN), ("/station?done=silenced", PIN), ("/why/jar", ""))
            return [fault for path, pin in looks for fault in faults(chromium, address + path, pin)]

    assert room.while_it_answers(looked) == []


def test_an_alarm_is_silenced_and_taken_back_by_keyboard_without_scripts(room: Room) -> None:
    def done() -> list[str]:
        with (
            served(room.site()) as address,
            browser() as chromium,
            page_at(chromium, f"{address}/station", scripts=False, pin=PIN) as page,
        ):
            page.locator("#until-1").focus()
            page.keyboard.press("End")  # until somebody takes it back
            page.keyboard.press("Tab")
            page.keyboard.press("Enter")
            page.wait_for_url("**/station?done=silenced")
            said = [page.locator("[role=status]").inner_text()]
            page.get_by_role("button", name="Take it back cup-1 and cup-2").focus()
            page.keyboard.press("Enter")
            page.wait_for_url("**/station?done=counts")
            return [*said, page.locator("[role=status]").inner_text()]

    said = room.while_it_answers(done)
    assert said == [
        "That alarm is silenced. It is watched on, and no letter is written about it.",
        "That alarm counts again.",
    ]
    assert room.rows(
        "SELECT vessel, until, lifted_at IS NULL FROM shelf WHERE vessel <> 'jar' ORDER BY id"
    ) == [
        ("cup-1", None, 0),
        ("cup-2", None, 0),
    ]
