"""Shows each view of the page on a phone and a wide screen, dark and light, as pictures: for eyes.

    python -m tests.bench.views OUT [--vessels 1,6,24]

Stations of so many vessels are played for some days, as `naupliad rehearse` plays a story; what axe finds,
and what is wider than its window, is printed. Needs chromium and the extra `browser`. Nothing is asserted.
"""

import argparse
import logging
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from daemon.page.site import make_site
from tests.kit.browser import browser, found_by_axe, missing
from tests.kit.command_line import naupliad
from tests.kit.page_station import served
from tests.kit.station import probe, station_text, vessel

WIDE_PX = (320, 1280)
SCHEMES = ("light", "dark")
# Cups of four ages, a cone, and a jar in which nothing was set.
SET_AT = ("11T08:30", "12T09:00", "13T09:00", "14T09:00", "12T14:00", None)
KINDS: tuple[dict[str, object], ...] = (
    *({"kind": "cup"},) * 4,
    {"kind": "cone", "mark_ml": 1000.0, "surface_cm2": 110.0, "low_ml": 150.0},
    {"kind": "jar", "mark_ml": 900.0, "surface_cm2": 80.0, "low_ml": 120.0},
)


def story(count: int, language: str = "en") -> str:
    """A shelf of so many vessels of different ages, as a story."""
    names = [f"cup-{number + 1:02d}" for number in range(count)]
    probes = (probe(f"{one}-water") for one in names)
    vessels = (
        vessel(one, f"{one}-water", "room", cold_c=17.0, **KINDS[n % 6]) for n, one in enumerate(names)
    )
    text = station_text(
        probe("room", "room_c"), *probes, *vessels, name="Room 3", every_s=300, language=language
    )
    head = (
        '[story]\ntitle = "A shelf to look at"\ntell = "Vessels of different ages on one shelf."\nseed = 77\n'
        "begins = 2027-01-11T08:00:00+00:00\nends = 2027-01-15T11:00:00+00:00\n\n"
    )
    sky = "[sky]\noutdoor_c = 6.0\noutdoor_swing_c = 3.0\n\n[room]\nsetback_c = 19.5\n"
    return f"{head}[station]\ntext = '''\n{text}'''\n\n{sky}{''.join(_events(names))}"


def _events(names: list[str]) -> Iterator[str]:
    for number, one in enumerate(names):
        if (set_at := SET_AT[number % len(SET_AT)]) is not None:
            yield (
                f'\n[[event]]\nat = 2027-01-{set_at}:00+00:00\ndo = "set"\nvessel = "{one}"\n'
                'grams = 0.05\nsalt_g_per_l = 25\nlot = "shelf"\n'
            )


def main() -> None:
    """Show them, and say where to."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("out", type=Path)
    asked.add_argument("--vessels", default="1,6,24")
    told = asked.parse_args()
    if missing():
        asked.error(missing())
    logging.getLogger("werkzeug").setLevel(logging.ERROR)
    for count in map(int, told.vessels.split(",")):
        for language in ("en", "de") if count == 1 else ("en",):
            _show(told.out / f"{count}-{language}", count, language)


def _show(out: Path, count: int, language: str) -> None:
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        told, state = Path(folder) / "shelf.toml", Path(folder) / "state"
        told.write_text(story(count, language), encoding="utf-8")
        naupliad("rehearse", told, "--out", state)
        with served(make_site(state)) as address, browser() as chromium:
            for path in _paths(f"cup-{min(count, 2):02d}"):
                for wide_px in WIDE_PX:
                    for scheme in SCHEMES:
                        _picture(chromium, address, path, out, wide_px, scheme)
    print(f"{out}: pictures of {count} vessels")


def _paths(one: str) -> list[str]:
    spans = [f"/vessel/{one}?span={span}" for span in ("weekend", "batch")]
    views = [
        "/",
        "/today",
        "/class",
        "/nights",
        "/night/2027-01-14",
        "/station",
        "/take-away",
        "/paper",
        "/pin",
    ]
    return [*views, f"/vessel/{one}", *spans, f"/do/{one}", f"/why/{one}"]


def _picture(chromium: Any, address: str, path: str, out: Path, wide_px: int, scheme: str) -> None:
    context = chromium.new_context(viewport={"width": wide_px, "height": 800}, color_scheme=scheme)
    page = context.new_page()
    page.goto(address + path)
    if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
        print(f"{path} at {wide_px} px: wider than its window")
    for found in found_by_axe(page):
        print(f"{path} at {wide_px} px, {scheme}: {found}")
    name = "".join(c if c.isalnum() else "-" for c in path.strip("/")) or "shelf"
    page.screenshot(path=str(out / f"{name}-{wide_px}-{scheme}.png"), full_page=True)
    context.close()


if __name__ == "__main__":
    main()
