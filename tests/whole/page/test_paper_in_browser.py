"""Sheets as a browser prints them: their size, their pages, and codes read back from the print.

Skipped, with the reason, where chromium, the extra `browser` or poppler's pdftoppm is missing.
"""

import math
import re
import shutil
import subprocess
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import zxingcpp
from PIL import Image

from daemon.page.site import make_site
from daemon.planning.experiment.design import ExperimentDesign
from daemon.station import Station
from daemon.store import experiments
from daemon.store import runs as run_store
from daemon.store.file import WritingStore
from tests.kit.browser import browser, found_by_axe, missing
from tests.kit.desks import HOUR
from tests.kit.page_of_shelf import speak
from tests.kit.page_station import served
from tests.kit.station import probe, station_text, vessel
from tests.kit.vessel_at_stage import NAMES, Shelf

PDFTOPPM = shutil.which("pdftoppm")
LACKING = missing() or ("" if PDFTOPPM else "needs pdftoppm (apt-get install poppler-utils)")
pytestmark = [pytest.mark.long, pytest.mark.skipif(bool(LACKING), reason=LACKING)]

# ISO 216, and ANSI/ASME Y14.1, in mm.
SIZES_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
A_SHEET = {"4x7": 28, "3x9": 27}
POINT_MM, INCH_MM, DPI = 25.4 / 72, 25.4, 200
LEAST_CODE_MM = 20.0
SHEETS = ("labels", "week", "count", "dose", "experiment")
# Of the longest words that it may have.
WIDE = ExperimentDesign(
    "W" * 200, "W" * 40, tuple(f"{n} {'W' * 28}" for n in range(6)), 5, 10_000, "window", 7
)
TRAY = "tray-growing"


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    with browser() as started:
        yield started


@pytest.fixture(scope="module")
def station() -> list[Station]:
    return []


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory, station: list[Station]) -> Iterator[str]:
    """The page of a shelf with vessels of each kind at each stage, in German: its words are the longer."""
    folder = tmp_path_factory.mktemp("shelf")
    shelf = Shelf(folder)
    speak(shelf, language="de")
    station.append(shelf.station)
    shelf.live(shelf.at + 2 * HOUR)
    shelf.desks.beliefs.write(list(NAMES), shelf.at)
    experiments.add(shelf.desks.store.connection, WIDE, shelf.at)
    with served(make_site(folder, moment=lambda _state, _connection: shelf.at)) as found:
        yield found


@pytest.fixture(scope="module")
def longest(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The same of a station whose vessels have the longest names and marks that a station file may give."""
    folder, at, wide = tmp_path_factory.mktemp("longest"), 1_800_000_000, "W" * 40
    cups = (
        vessel(wide[:39] + end, end, mark_ml=100_000.0, surface_cm2=1000.0, count=count)
        for end, count in (("a", 1), ("b", 500))
    )
    text = station_text(probe("a"), probe("b"), *cups, language="de")
    store = WritingStore(folder, durable=False)
    with store.transaction() as connection:
        run_store.keep_station_file(connection, at, text)
    store.close()
    with served(make_site(folder, moment=lambda _state, _connection: at)) as found:
        yield found


@contextmanager
def opened(
    chromium: Any, url: str, *, wide_px: int = 1280, scheme: str = "light", js: bool = True
) -> Iterator[Any]:
    context = chromium.new_context(
        viewport={"width": wide_px, "height": 800}, color_scheme=scheme, java_script_enabled=js
    )
    try:
        page = context.new_page()
        answer = page.goto(url)
        assert answer.status == 200, page.locator("main").inner_text()
        yield page
    finally:
        context.close()


def printed(chromium: Any, url: str, file: Path, **how: Any) -> list[tuple[float, float]]:
    """Print as a PDF; each page's width and height in mm (ISO 32000, 7.7.3)."""
    with opened(chromium, url, **how) as page:
        pdf = page.pdf(path=file, prefer_css_page_size=True)
    boxes = re.findall(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]", pdf)
    return [(float(wide) * POINT_MM, float(high) * POINT_MM) for wide, high in boxes]


def rendered(file: Path) -> list[Image.Image]:
    """The pages of a PDF as grey pictures."""
    assert PDFTOPPM is not None
    subprocess.run([PDFTOPPM, "-gray", "-r", str(DPI), str(file), str(file.with_suffix(""))], check=True)
    return [Image.open(one) for one in sorted(file.parent.glob(f"{file.stem}-*.pgm"))]


def is_size(found: tuple[float, float], paper: str) -> bool:
    return all(abs(mm - asked) < 0.5 for mm, asked in zip(found, SIZES_MM[paper], strict=True))


@pytest.mark.parametrize("paper", SIZES_MM)
@pytest.mark.parametrize("grid", A_SHEET)
def test_every_code_is_read_back_from_the_printed_labels(
    chromium: Any, address: str, station: list[Station], tmp_path: Path, paper: str, grid: str
) -> None:
    """Printed from the dark scheme and without JavaScript, too: black on white, 20 mm wide at least."""
    file = tmp_path / "labels.pdf"
    url = f"{address}/paper/labels?paper={paper}&grid={grid}&names=creatures"
    pages = printed(chromium, url, file, scheme="dark", js=False)
    expected = Counter({f"{address}/do/{one.id}": one.count for one in station[0].vessels})
    assert len(pages) == math.ceil(expected.total() / A_SHEET[grid])
    assert all(is_size(page, paper) for page in pages)
    found = [code for page in rendered(file) for code in zxingcpp.read_barcodes(page)]
    assert Counter(code.text for code in found) == expected
    least_px = min(code.position.top_right.x - code.position.top_left.x for code in found)
    assert (least_px + 2) / DPI * INCH_MM >= LEAST_CODE_MM  # the reader's corners are whole pixels


@pytest.mark.parametrize("paper", SIZES_MM)
@pytest.mark.parametrize(("sheet", "most"), [("week", 2), ("count", 1), ("dose", 1), ("experiment", 2)])
def test_a_sheet_fits_its_paper(
    chromium: Any, address: str, tmp_path: Path, paper: str, sheet: str, most: int
) -> None:
    """Nineteen vessels, thirty cups; nothing reaches into the margins, where printers print nothing."""
    file = tmp_path / f"{sheet}.pdf"
    pages = printed(chromium, f"{address}/paper/{sheet}?paper={paper}", file, scheme="dark")
    assert 1 <= len(pages) <= most
    assert all(is_size(page, paper) for page in pages)
    for picture in rendered(file):
        ink = picture.point(lambda grey: 255 if grey < 250 else 0).getbbox()
        assert ink is not None
        margin_px = 7.5 / INCH_MM * DPI
        assert ink[0] >= margin_px
        assert ink[1] >= margin_px
        assert ink[2] <= picture.width - margin_px
        assert ink[3] <= picture.height - margin_px


@pytest.mark.parametrize("names", ["numbers", "creatures"])
@pytest.mark.parametrize("grid", A_SHEET)
@pytest.mark.parametrize("paper", SIZES_MM)
def test_nothing_on_a_label_is_cut_off(
    chromium: Any, address: str, longest: str, paper: str, grid: str, names: str
) -> None:
    # As wide as the paper between its margins, in CSS pixels.
    wide_px = math.floor((SIZES_MM[paper][0] - 16) / INCH_MM * 96)
    for where in (address, longest):
        url = f"{where}/paper/labels?paper={paper}&grid={grid}&names={names}"
        with opened(chromium, url, wide_px=wide_px) as page:
            page.emulate_media(media="print")
            cut = page.evaluate(
                "[...document.querySelectorAll('.labels li')]"
                ".filter(one => one.scrollHeight > one.clientHeight || one.scrollWidth > one.clientWidth)"
                ".map(one => one.textContent)"
            )
        assert cut == []


@pytest.mark.parametrize("wide_px", [320, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_and_a_phone_shows_every_sheet(
    chromium: Any, address: str, wide_px: int, scheme: str
) -> None:
    for path in ("", *(f"/{sheet}" for sheet in SHEETS), f"/count?vessel={TRAY}"):
        with opened(chromium, f"{address}/paper{path}", wide_px=wide_px, scheme=scheme) as page:
            assert found_by_axe(page) == [], path
            assert page.evaluate("document.documentElement.scrollWidth") <= wide_px, path


def test_the_button_prints_where_there_is_a_script_and_is_away_where_there_is_none(
    chromium: Any, address: str
) -> None:
    for script in (True, False):
        with opened(chromium, f"{address}/paper/dose", js=script) as page:
            assert page.locator("#print").is_visible() == script
    with opened(chromium, f"{address}/paper/dose") as page:
        page.evaluate("window.print = () => { document.title = 'printed'; }")
        page.locator("#print").click()
        assert page.title() == "printed"


def test_what_is_chosen_above_a_sheet_is_what_is_shown(chromium: Any, address: str) -> None:
    with opened(chromium, f"{address}/paper/labels", js=False) as page:
        page.locator("#choose-paper").select_option("letter")
        page.locator("#choose-vessel").select_option(TRAY)
        page.locator("#choose-grid").select_option("3x9")
        page.locator("form.chosen button[type=submit]").click()
        assert page.locator("ul.by-3x9 li").count() == 24
        assert page.locator("link[href*='letter.css']").count() == 1
        assert page.locator("#choose-vessel").input_value() == TRAY
