"""The way from a machine that was never set up to a station that watches, timed and shown step by step.

    python -m tests.bench.teachers_path OUT

Real processes for daemon and page, a mail server over TLS, probes in a tree; checks in ice go 40 times
faster. First on a phone, a picture and the seconds of each step (those of the machine: nobody reads or
types); then each step as it stands, on a phone and a wide screen, dark and light, English and German. What
axe finds, and what is wider than its window, is printed. Needs chromium and the extra `browser`. Nothing is
asserted.
"""

import argparse
import tempfile
import time
from pathlib import Path
from typing import Any

from tests.kit.browser import browser, found_by_axe, missing
from tests.kit.new_station import new_station
from tests.kit.teachers_path import SET_UP_PAGES, sign_in, walk

WIDE_PX = (320, 1280)
SCHEMES = ("light", "dark")


def main() -> None:
    """Walk it, and print what each step took."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("out", type=Path)
    told = asked.parse_args()
    if missing():
        asked.error(missing())
    told.out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as root, new_station(Path(root)) as station, browser() as chromium:
        page = chromium.new_page(viewport={"width": 360, "height": 800})
        since = began = time.monotonic()
        number = 0

        def seen(step: str) -> None:
            nonlocal since, number
            took_s, number = time.monotonic() - since, number + 1
            _shoot(page, told.out / f"{number:02}-{step.replace(' ', '-')}.png", f"{took_s:6.1f} s")
            since = time.monotonic()

        walk(page, station, seen)
        print(f"{time.monotonic() - began:.0f} s in all, with pictures")
        for language in ("en", "de"):
            for scheme in SCHEMES:
                for wide_px in WIDE_PX:
                    how = {"viewport": {"width": wide_px, "height": 800}, "color_scheme": scheme}
                    context = chromium.new_context(**how)
                    shown = context.new_page()
                    sign_in(shown, station, language)
                    for path in SET_UP_PAGES:
                        shown.goto(f"{station.address}{path}")
                        name = path.strip("/").replace("/", "-")
                        _shoot(shown, told.out / f"{name}-{language}-{wide_px}-{scheme}.png", "")
                    context.close()


def _shoot(page: Any, file: Path, told: str) -> None:
    page.screenshot(path=file, full_page=True)
    faults = found_by_axe(page)
    if page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth"):
        faults.append("wider than its window")
    print(told, file.name, *faults, sep="  ")


if __name__ == "__main__":
    main()
