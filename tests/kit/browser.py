"""A real browser, where the machine has one: Debian's chromium, driven by playwright, and axe to judge."""

import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium")
WANTED = ("playwright", "axe_playwright_python")


def missing() -> str:
    """What is not here that the browser's tests need; empty where all is."""
    lacking = [name for name in WANTED if find_spec(name) is None]
    if CHROMIUM is None:
        lacking.append("chromium")
    return (
        f"needs {', '.join(lacking)} (apt-get install chromium; pip install -e '.[browser]')"
        if lacking
        else ""
    )


@contextmanager
def browser() -> Iterator[Any]:
    """Chromium without a window."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        yield driver.chromium.launch(executable_path=CHROMIUM)


@contextmanager
def page_of(chromium: Any, file: Path, *, wide_px: int, scheme: str = "light") -> Iterator[Any]:
    """A file opened in a window so wide, 800 px high, in a light or a dark scheme, without a network."""
    context = chromium.new_context(
        viewport={"width": wide_px, "height": 800}, color_scheme=scheme, offline=True
    )
    try:
        page = context.new_page()
        page.goto(file.as_uri())
        yield page
    finally:
        context.close()


def found_by_axe(page: Any) -> list[str]:
    """What axe finds wrong with a page, a line for each rule: it and the first element."""
    from axe_playwright_python.sync_playwright import Axe

    violations = Axe().run(page).response["violations"]
    return [f"{one['id']}: {one['help']} ({one['nodes'][0]['html'][:120]})" for one in violations]


def pages_on_paper(page: Any) -> int:
    """How many A4 pages a printer would need, by the page objects of the PDF (ISO 32000, 7.7.3)."""
    pdf = page.pdf(format="A4", margin=dict.fromkeys(("top", "bottom", "left", "right"), "15mm"))
    return len(re.findall(rb"/Type\s*/Page\b", pdf))
