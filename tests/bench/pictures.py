"""Renders letters as a phone and a wide screen show them, dark and light, into a folder: for eyes.

    python -m tests.bench.pictures OUT [--only nightly,cold] [LETTER.eml …]

Without files: one letter of each kind, and nightly ones of 1, 6 and 24 vessels with their charts. Needs
chromium and the extra `browser`. Nothing is asserted: tests/whole/letters/test_page_in_browser.py does that.
"""

import argparse
import email
import email.policy
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from reports.chart.child_process import draw_in_child
from tests.kit.browser import browser, missing, page_of
from tests.kit.letter_pages import NIGHTS, night_of, nightly_of, of_each_kind, with_picture
from tests.kit.report_samples import away

WIDE_PX = (320, 1280)
SCHEMES = ("light", "dark")


def main() -> None:
    """Render, and print where to."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("out", type=Path)
    asked.add_argument("letters", type=Path, nargs="*", metavar="LETTER.eml")
    asked.add_argument("--only", default="", help="beginnings of names, joined by commas")
    told = asked.parse_args()
    if missing():
        asked.error(missing())
    told.out.mkdir(parents=True, exist_ok=True)
    wanted = tuple(told.only.split(","))
    with TemporaryDirectory() as passing, browser() as chromium:
        pages = _sent(told.letters, Path(passing)) if told.letters else _samples(wanted, Path(passing))
        for name, file in pages.items():
            _render(chromium, name, file, told.out)


def _render(chromium: Any, name: str, file: Path, out: Path) -> None:
    for wide_px in WIDE_PX:
        for scheme in SCHEMES:
            picture = out / f"{name}-{wide_px}-{scheme}.png"
            with page_of(chromium, file, wide_px=wide_px, scheme=scheme) as shown:
                shown.screenshot(path=picture, full_page=True)
            print(picture)


def _samples(wanted: tuple[str, ...], folder: Path) -> dict[str, Path]:
    letters = {name: one for name, one in of_each_kind(away()).items() if name.startswith(wanted)}
    pages = {name: _written(folder / f"{name}.html", one.html) for name, one in letters.items()}
    for count in NIGHTS:
        name = f"nightly-{count}"
        if name.startswith(wanted):
            draw_in_child(night_of(count), folder / f"{name}.png")
            page = with_picture(nightly_of(count), f"{name}.png")
            pages[name] = _written(folder / f"{name}.html", page)
    return pages


def _sent(letters: list[Path], folder: Path) -> dict[str, Path]:
    """Letters as they went out, each with its picture beside it."""
    pages = {}
    for path in letters:
        message = email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
        page = message.get_body(("html",)).get_content()
        for part in message.walk():
            if part["Content-ID"] and part.get_content_maintype() == "image":
                name = f"{path.stem}.png"
                (folder / name).write_bytes(part.get_payload(decode=True))
                page = page.replace(f"cid:{part['Content-ID'].strip('<>')}", name)
        pages[path.stem] = _written(folder / f"{path.stem}.html", page)
    return pages


def _written(file: Path, page: str) -> Path:
    file.write_text(page, "utf-8")
    return file


if __name__ == "__main__":
    main()
