"""Prints each sheet of the page on both papers, in both languages, as PDF: for eyes.

    python -m tests.bench.sheets OUT

Needs chromium and the extra `browser`; with poppler's pdftoppm the pages come as pictures as well. Nothing is
asserted: tests/whole/page/test_paper_in_browser.py does that.
"""

import argparse
import logging
import shutil
import subprocess
import tempfile
from pathlib import Path

from daemon.page.site import make_site
from reports.language import languages
from reports.page.paper.sheets import PAPERS
from tests.kit.browser import browser, missing
from tests.kit.desks import HOUR
from tests.kit.page_of_shelf import speak
from tests.kit.page_station import served
from tests.kit.vessel_at_stage import NAMES, Shelf

SHEETS = {
    "labels": "labels?vessel=tray-set&",
    "labels-creatures": "labels?vessel=tray-set&names=creatures&",
    "labels-3x9": "labels?vessel=tray-set&grid=3x9&",
    "week": "week?",
    "count": "count?",
    "count-of-one": "count?vessel=tray-growing&",
    "dose": "dose?",
}


def main() -> None:
    """Print them, and say where to."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("out", type=Path)
    told = asked.parse_args()
    if missing():
        asked.error(missing())
    logging.getLogger("werkzeug").setLevel(logging.ERROR)
    told.out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        shelf = Shelf(Path(folder))
        shelf.live(shelf.at + 2 * HOUR)
        shelf.desks.beliefs.write(list(NAMES), shelf.at)
        with served(make_site(Path(folder), moment=lambda _state, _connection: shelf.at)) as address:
            for language in languages():
                speak(shelf, language=language)
                _print_all(told.out, address, language)


def _print_all(out: Path, address: str, language: str) -> None:
    with browser() as chromium:
        page = chromium.new_page()
        for name, asked in SHEETS.items():
            for paper in PAPERS:
                page.goto(f"{address}/paper/{asked}paper={paper}")
                file = out / f"{name}-{paper}-{language}.pdf"
                page.pdf(path=file, prefer_css_page_size=True)
                print(file)
                if pdftoppm := shutil.which("pdftoppm"):
                    words = [pdftoppm, "-png", "-r", "100", str(file), str(file.with_suffix(""))]
                    subprocess.run(words, check=True)


if __name__ == "__main__":
    main()
