"""Letters as pages in a real browser: on phones, dark and light, to a screen reader, pictureless, on paper.

Skipped, with the reason, where chromium or the extra `browser` is missing.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from daemon.letter_kinds import LETTER_KINDS
from reports.chart.child_process import draw_in_child
from reports.letters.page import numbered
from tests.kit.browser import browser, found_by_axe, missing, page_of, pages_on_paper
from tests.kit.letter_pages import NAMES, night_of, pages, with_picture

pytestmark = [pytest.mark.long, pytest.mark.skipif(bool(missing()), reason=missing())]

PHONES_PX = (320, 375)
# A phone's screen is some 650 px high below a mail program's own rows: common practice, no source.
BOX_ABOVE_PX = 500


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    with browser() as started:
        yield started


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Where a letter's page is written, beside a picture as wide and high as a chart may be."""
    Image.new("RGB", (720, 960), "#ffffff").save(tmp_path / "chart.png")
    return tmp_path / "letter.html"


def page(name: str, picture: str = "chart.png") -> str:
    return with_picture(numbered(pages()[name], 12), picture)


def test_there_is_a_page_of_every_kind() -> None:
    assert set(pages()) == set(NAMES)
    assert {name.partition(" of ")[0] for name in NAMES} == set(LETTER_KINDS)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_in_a_letter(chromium: Any, file: Path, name: str, scheme: str) -> None:
    """Headings, landmarks, table headers, language, contrast: axe-core's rules, WCAG 2.2's among them."""
    file.write_text(page(name), "utf-8")
    with page_of(chromium, file, wide_px=375, scheme=scheme) as shown:
        assert found_by_axe(shown) == []


@pytest.mark.parametrize("name", NAMES)
def test_a_letter_fits_a_phone_and_what_to_do_stands_on_its_first_screen(
    chromium: Any, file: Path, name: str
) -> None:
    file.write_text(page(name), "utf-8")
    for wide_px in PHONES_PX:
        with page_of(chromium, file, wide_px=wide_px) as shown:
            assert shown.evaluate("document.documentElement.scrollWidth") <= wide_px
            if wide_px == 375:
                assert shown.locator(".box").first.bounding_box()["y"] < BOX_ABOVE_PX


@pytest.mark.parametrize("name", NAMES)
def test_a_letter_says_all_without_its_picture(chromium: Any, file: Path, name: str) -> None:
    file.write_text(page(name, "blocked.png"), "utf-8")
    with page_of(chromium, file, wide_px=320) as shown:
        assert shown.evaluate("document.documentElement.scrollWidth") <= 320
        assert shown.evaluate("[...document.images].every(one => one.alt.length > 20)")
        assert shown.locator("main").inner_text().count("Do this:") == 1


def test_a_printed_night_of_one_vessel_takes_two_pages_at_most(chromium: Any, file: Path) -> None:
    draw_in_child(night_of(1), file.with_name("chart.png"))
    file.write_text(page("nightly of 1"), "utf-8")
    with page_of(chromium, file, wide_px=1280) as shown:
        assert shown.evaluate("document.images[0].naturalWidth") > 300
        assert 1 <= pages_on_paper(shown) <= 2
