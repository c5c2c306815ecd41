"""Draws vessels of every kind in every stage and state, as a phone and a wide screen show them: for eyes.

    python -m tests.bench.vessels OUT

Needs chromium and the extra `browser`. Nothing is asserted:
tests/unit/reports/page/picture/test_in_browser.py does that.
"""

import argparse
from collections.abc import Iterator
from pathlib import Path

from reports.page.picture.drawing import vessel_svg
from reports.page.picture.sizes import Size
from reports.vessel_line import STAGES
from tests.kit.browser import browser, missing, page_of
from tests.kit.vessel_sheets import many, sheet, small, steps


def main() -> None:
    """Render, and print where to."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("out", type=Path)
    told = asked.parse_args()
    if missing():
        asked.error(missing())
    told.out.mkdir(parents=True, exist_ok=True)
    with browser() as chromium:
        for name, inside in _sheets():
            file = told.out / f"{name}.html"
            file.write_text(sheet(inside), "utf-8")
            for wide_px in (320, 1280):
                for scheme in ("light", "dark"):
                    picture = told.out / f"{name}-{wide_px}-{scheme}.png"
                    with page_of(chromium, file, wide_px=wide_px, scheme=scheme) as shown:
                        shown.screenshot(path=picture, full_page=True)
                    print(picture)


def _sheets() -> Iterator[tuple[str, str]]:
    yield "full", _few("full")
    yield "big", _few("big")
    yield "small", small(many())
    yield "24", small(many()[:24])
    yield "steps", "".join(f"<h2>{stage}</h2>{steps(stage)}" for stage in STAGES)


def _few(size: Size) -> str:
    return f'<div class="few">{"".join(vessel_svg(one, size) for one in many())}</div>'


if __name__ == "__main__":
    main()
