"""The do view in a real browser: two taps on a phone without JavaScript, by keys alone, and what axe says.

Skipped, with the reason, where chromium or the extra `browser` is missing.
"""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.kit.browser import browser, found_by_axe, missing
from tests.kit.listening_desks import (
    BEGAN,
    PIN,
    Listening,
    leave_a_day,
    listening,
    page_of,
    served,
    shelf_text,
)

pytestmark = [pytest.mark.long, pytest.mark.skipif(bool(missing()), reason=missing())]

PHONE_PX, WIDE_PX = 320, 1280
# A finger's target: WCAG 2.2, 2.5.5 (AAA) asks for 44 CSS pixels.
FINGER_PX = 44
VIEWS = (
    "/do/cup",
    "/do/cone",
    "/do/tray/fill?also=cup&also=cone",
    "/do/cup/set",
    "/do/cup/salt",
    "/do/cup/note",
    "/deed/1",
    "/done/1,2,3",
)


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    with browser() as started:
        yield started


@pytest.fixture(scope="module")
def left(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A day with a batch in each vessel."""
    folder = tmp_path_factory.mktemp("left")
    leave_a_day(folder, shelf_text(lots=True))
    with listening(folder):
        page = page_of(folder)
        for vessel in ("cup", "tray", "cone"):
            address = f"/do/{vessel}/set"
            form = {"once": page.key_on(address), "amount": "0.05", "salt_g_per_l": "25", "when": str(BEGAN)}
            assert page.post(address, data=form).status_code == 303
    return folder


@pytest.fixture
def daemon(left: Path, tmp_path: Path) -> Iterator[Listening]:
    shutil.copytree(left, tmp_path / "state", ignore=shutil.ignore_patterns("*.sock"))
    with listening(tmp_path / "state") as made:
        yield made


def opened(
    chromium: Any, address: str, *, wide_px: int = PHONE_PX, scheme: str = "light", js: bool = False
) -> Any:
    context = chromium.new_context(
        viewport={"width": wide_px, "height": 640},
        color_scheme=scheme,
        java_script_enabled=js,
        has_touch=True,
    )
    page = context.new_page()
    page.goto(address)
    with page.expect_navigation():
        page.get_by_role("link", name="Give the PIN").click()
    page.get_by_label("PIN").fill(PIN)
    with page.expect_navigation():
        page.get_by_role("button", name="Sign in").click()
    return page


def test_two_taps_without_javascript_fill_a_cup_and_a_third_takes_it_back(
    chromium: Any, daemon: Listening
) -> None:
    with served(daemon.state) as address:
        page = opened(chromium, f"{address}/do/cup")
        tap(page, "Filled to the mark")
        guessed = float(page.get_by_label("Water poured in").input_value())
        tap(page, "Note it")
        assert page.get_by_role("heading", level=1).inner_text() == "Noted"
        assert daemon.rows()[-1][1:4] == ("cup", "top-up", guessed)
        said = page.locator("main").inner_text()
        assert "Evaporates" in said
        assert "The water stands" in said
        tap(page, "Take it back")
        assert page.get_by_role("heading", level=1).inner_text() == "Taken back"
        assert daemon.rows()[-1][6] == 1
        page.context.close()


def test_one_tap_notes_a_look_and_going_back_and_tapping_again_notes_no_second(
    chromium: Any, daemon: Listening
) -> None:
    with served(daemon.state) as address:
        page = opened(chromium, f"{address}/do/cup")
        form = page.content()
        tap(page, "About half hatched")
        assert "Half now expected" in page.locator("main").inner_text()
        # The form as it was before, whatever the browser kept of it.
        page.route("**/do/cup", lambda route: route.fulfill(body=form, content_type="text/html"), times=1)
        page.goto(f"{address}/do/cup")
        tap(page, "About half hatched")
        assert page.get_by_role("heading", level=1).inner_text() == "Noted"
        assert [row[2] for row in daemon.rows()][3:] == ["hatched"]
        page.context.close()


def test_by_keys_alone_a_deed_is_noted_with_another_time(chromium: Any, daemon: Listening) -> None:
    with served(daemon.state) as address:
        page = opened(chromium, f"{address}/do/cup/note")
        walk(page, "text")
        page.keyboard.type("a lid was put on")
        walk(page, "when")
        page.keyboard.press("ArrowDown")
        walk(page, "Note it")
        with page.expect_navigation():
            page.keyboard.press("Enter")
        assert page.get_by_role("heading", level=1).inner_text() == "Noted"
        assert "a lid was put on, today at 05:00." in page.locator("main").inner_text()
        page.context.close()


def tap(page: Any, name: str) -> None:
    """A finger on a button, until what comes of it is there."""
    with page.expect_navigation():
        page.get_by_role("button", name=name).tap()


def walk(page: Any, name: str) -> None:
    """Tab by tab to the field of that name, or the button of those words; each stop is to be seen."""
    for _ in range(40):
        page.keyboard.press("Tab")
        found, outline = page.evaluate(
            "[document.activeElement.name || document.activeElement.textContent.trim(),"
            " getComputedStyle(document.activeElement).outlineStyle]"
        )
        assert outline != "none" or found == "at", found  # the parts of a time are the browser's own
        if found == name:
            return
    raise AssertionError(f"no {name} by keys")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("wide_px", [PHONE_PX, WIDE_PX])
def test_axe_finds_nothing_fingers_find_all_and_nothing_sticks_out(
    chromium: Any, daemon: Listening, wide_px: int, scheme: str
) -> None:
    with served(daemon.state) as address:
        page = opened(chromium, f"{address}/do/cup", wide_px=wide_px, scheme=scheme, js=True)
        for view in VIEWS:
            page.goto(f"{address}{view}")
            page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")
            looked_at(page, view)
        page.goto(f"{address}/do/tray/fill")
        page.get_by_label("Water poured in").fill("lots")
        page.get_by_label("Or another time").fill("2026-10-25T01:30")
        tap(page, "Note it")
        looked_at(page, "what is wrong")
        assert page.locator(":focus").get_attribute("name") == "amount"
        page.context.close()


def looked_at(page: Any, view: str) -> None:
    assert found_by_axe(page) == [], view
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), view
    small = page.evaluate(
        """least => [...document.querySelectorAll('main button, main .button, main summary, main .tick,'
            + ' main select, main input:not([type=hidden], [type=radio], [type=checkbox])')]
            .filter(one => one.getBoundingClientRect().height < least).map(one => one.outerHTML)""",
        FINGER_PX,
    )
    assert small == [], view
