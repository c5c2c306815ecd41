"""Somebody without statistics, in a real browser: from an idea to a seat map, to counts, to a true sentence.

On a phone without scripts and on a wide screen with them, in English and German; what axe says of each view.
Skipped, with the reason, where chromium or the extra `browser` is missing.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

from tests.kit.browser import browser, found_by_axe, missing
from tests.kit.page_station import PIN, Room, cold_room, served

pytestmark = [pytest.mark.long, pytest.mark.skipif(bool(missing()), reason=missing())]

# 31 36 28 33 of 50 and so on, as in tests/unit/daemon/cli/test_experiment_cups.py.
CLASS = {"10 g/L": [31, 36, 28, 33], "25 g/L": [38, 41, 35, 40], "40 g/L": [12, 20, 15, 9]}
ENDS = {"en": "Most hatched at 25 g/L: 77 of 100.", "de": "25 g/L"}


def wider(page: Any, wide_px: int) -> list[str]:
    """That a view is wider than the screen."""
    width = page.evaluate("document.documentElement.scrollWidth")
    return [f"{page.url}: {width} px wide"] if width > wide_px else []


class Walker:
    """Taps what is on the screen, and looks at each view that comes up: does it fit, what does axe find."""

    def __init__(self, page: Any, address: str, wide_px: int, judge: bool) -> None:
        self.page, self.address, self.wide_px, self.judge = page, address, wide_px, judge
        self.faults: list[str] = []
        self.taps = 0

    def go(self, path: str) -> None:
        self.page.goto(self.address + path)
        self.look()

    def tap(self, what: str) -> None:
        with self.page.expect_navigation():
            self.page.locator(what).first.click()
        self.taps += 1
        self.look()

    def look(self) -> None:
        if self.judge:  # both need scripts
            self.faults += [f"{self.page.url}: {one}" for one in found_by_axe(self.page)]
            self.faults += wider(self.page, self.wide_px)


def walk(walker: Walker) -> tuple[str, int]:
    """From the list of plans to the sentence; what stands there at the end, and the taps to a kept map."""
    page = walker.page
    walker.go("/plan")
    walker.tap('a[href="/plan/experiment"]')
    page.fill("#idea", "salt?")
    page.fill("#levels", "10; 25; 40")
    walker.tap("form[method=get] button")
    walker.tap("main a.button")
    page.fill("input[name=pin]", PIN)
    walker.tap("form[action='/pin'] button")
    walker.tap("form[action='/plan/experiment'][method=post] button")
    taps = walker.taps
    page.locator("details.levels summary").click()
    levels = dict(line.split(": ") for line in page.locator("details.levels li").all_inner_texts())
    left = {
        code: hatched
        for level, codes in levels.items()
        for code, hatched in zip(codes.split(", "), CLASS[level], strict=True)
    }
    while left:
        code = page.locator("#cup").input_value()  # the next one that has no count yet
        page.fill("#hatched", str(left.pop(code)))
        with page.expect_navigation():
            page.locator("#count form button").first.click()
    walker.look()
    for path in ("/paper/experiment", "/paper/experiment?sheet=levels", "/plan/experiment", "/experiment/1"):
        walker.go(path)
    return page.locator("p.shows").inner_text(), taps


def walked(room: Room, wide_px: int, *, scripts: bool) -> tuple[str, int, list[str]]:
    def in_a_browser(address: str) -> Callable[[], tuple[str, int, list[str]]]:
        def by_hand() -> tuple[str, int, list[str]]:
            with browser() as chromium:
                size = {"width": wide_px, "height": 740}
                context = chromium.new_context(viewport=size, java_script_enabled=scripts)
                walker = Walker(context.new_page(), address, wide_px, scripts)
                return (*walk(walker), walker.faults)

        return by_hand

    with served(room.site()) as address:
        return room.while_it_answers(in_a_browser(address))


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize(("wide_px", "scripts"), [(360, False), (360, True), (1280, True)])
def test_somebody_gets_from_an_idea_to_a_map_and_to_a_sentence(
    tmp_path: Path, language: str, wide_px: int, scripts: bool
) -> None:
    with cold_room(tmp_path, language=language) as room:
        said, taps, faults = walked(room, wide_px, scripts=scripts)
        assert ENDS[language] in said
        assert taps == 5, "to the view, what the cups can tell, to the PIN, the PIN, begin"
        assert not faults, "\n".join(faults)
        assert room.rows("SELECT count(*) FROM experiment_count WHERE withdrawn_at IS NULL") == [(12,)]


def test_the_longest_words_and_the_most_levels_fit_on_the_narrowest_phone(tmp_path: Path) -> None:
    levels = ";".join(f"{number} {'W' * 28}" for number in range(6))
    plan = {"idea": "W" * 200, "factor": "other", "other": "W" * 40, "levels": levels, "near": "window"}
    plan |= {"cups": "5", "of": "10000", "seed": "7"}
    with cold_room(tmp_path) as room:
        assert room.post("/plan/experiment", **plan, no_names="yes").status_code == 303
        for place, (code,) in enumerate(room.rows("SELECT code FROM experiment_seat")):
            room.post("/experiment/1", cup=code, hatched=str(7 * place))
        paths = ("/experiment/1", "/plan/experiment", f"/plan/experiment?{urlencode(plan)}")
        with served(room.site()) as address:

            def found() -> list[str]:
                with browser() as chromium:
                    page = chromium.new_page(viewport={"width": 320, "height": 740})
                    return [fault for path in paths for fault in opened(page, address + path)]

            def opened(page: Any, url: str) -> list[str]:
                page.goto(url)
                return wider(page, 320)

            assert room.while_it_answers(found) == []
