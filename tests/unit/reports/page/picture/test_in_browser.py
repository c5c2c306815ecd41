"""Drawings in a real browser: words whole, apart and clear of every line; nothing for axe to find.

Skipped, with the reason, where chromium or the extra `browser` is missing.
"""

import itertools
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from reports.page.picture.drawing import vessel_svg
from reports.page.picture.parts import shared_parts
from reports.page.picture.sizes import PLACES
from reports.page.picture.stage_steps import stage_steps
from reports.page.picture.vessel_picture import KINDS, FeltWarmth, LampLight, ProbePlace, VesselPicture
from reports.records import Range
from reports.vessel_line import STAGES
from tests.kit.browser import browser, found_by_axe, missing, page_of
from tests.kit.checkout import ROOT
from tests.kit.vessel_pictures import RUNNING, of_kind

pytestmark = [pytest.mark.long, pytest.mark.skipif(bool(missing()), reason=missing())]

CSS = (ROOT / "reports" / "page" / "static" / "picture.css").read_text("utf-8")
# The page's own colours, where only drawings are looked at.
COLOURS = """
:root {
  color-scheme: light dark; --ground: #fbf8f1; --raised: #fff; --ink: #1f1f1f; --soft: #55504a;
  --line: #8a8378; --water: #332288; --water-fill: #cfd6ec; --animals: #117733; --warm: #9c3a00;
  --cold: #1b4f9c; --right: #117733; --alarm: #a3123a; --alarm-fill: #fbe4e8; --board-edge: #8a6a3c;
  --glass: #6f7f86;
}
@media (prefers-color-scheme: dark) {
  :root {
    --ground: #1b1a18; --raised: #262421; --ink: #f0ebe0; --soft: #bdb5a6; --line: #8f887c; --water: #a9a1ee;
    --water-fill: #34345c; --animals: #6fce8f; --warm: #f0a067; --cold: #8db8f2; --right: #6fce8f;
    --alarm: #ff95a8; --alarm-fill: #4a1f29; --board-edge: #b08d57; --glass: #9fb1b8;
  }
}
body { background: var(--ground); color: var(--ink) }
.many { display: grid; gap: .5rem; grid-template-columns: repeat(3, minmax(0, 1fr)) }
"""
# Each word's and each line's box in the units of its drawing, and the drawing's own.
BOXES = """() => [...document.querySelectorAll('svg[role=img]')].map(svg => {
  const boxes = asked => [...svg.querySelectorAll(asked)].map(e => {
    const b = e.getBBox();
    return [e.textContent || e.getAttribute('class'), b.x, b.y, b.x + b.width, b.y + b.height];
  });
  const view = svg.viewBox.baseVal;
  return [svg.querySelector('title').textContent, [0, 0, view.width, view.height],
          boxes('.vp-words'), boxes('.vp-mark, .vp-low, .vp-brim, .vp-surface, .vp-range, .vp-glass')];
})"""


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    with browser() as started:
        yield started


def many() -> list[VesselPicture]:
    """Every stage and state of every kind."""
    found = []
    for kind in KINDS:
        plain = of_kind(kind)
        low_ml = plain.low_ml
        found += [
            replace(plain, stage=stage, loss_ml=plain.loss_ml if stage in RUNNING else None)
            for stage in STAGES
        ]
        found += [replace(plain, warmth=warmth, lamp=LampLight.DARK, count=24) for warmth in FeltWarmth]
        levels = [(-0.1, 0, 0.1), (0.7, 0.9, 1.3), (-0.9, -0.7, -0.6), (-0.5, 0.3, 2.0), (1.1, 2.0, 3.0)]
        found += [replace(plain, loss_ml=Range(*(share * low_ml for share in level))) for level in levels]
        found += [replace(plain, covered=True, probe=ProbePlace.AIR, brim_ml=0.0, alarms=12, unit="F")]
    return found


def shown(chromium: Any, folder: Path, inside: str, wide_px: int, scheme: str = "light") -> Any:
    file = folder / "drawings.html"
    style = f"<style>{COLOURS}{CSS}</style>"
    head = f'<!DOCTYPE html><html lang="en"><meta charset="utf-8"><title>All</title>{style}'
    file.write_text(f"{head}<main><h1>Vessels</h1>{inside}</main></html>", "utf-8")
    return page_of(chromium, file, wide_px=wide_px, scheme=scheme)


@pytest.mark.parametrize("size", [size for size, room in PLACES.items() if room.letter])
def test_words_are_whole_and_lie_neither_on_each_other_nor_on_a_line(
    chromium: Any, tmp_path: Path, size: Any
) -> None:
    with shown(chromium, tmp_path, "".join(vessel_svg(one, size) for one in many()), 800) as page:
        for name, frame, words, lines in page.evaluate(BOXES):
            for word in words:
                assert inside(word[1:], frame), (name, word)
                assert not [line for line in lines if on_each_other(word[1:], line[1:])], (name, word)
            for one, other in itertools.combinations(words, 2):
                assert not on_each_other(one[1:], other[1:]), (name, one, other)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_in_drawings_and_steps(chromium: Any, tmp_path: Path, scheme: str) -> None:
    drawn = "".join(vessel_svg(one, "full") for one in many()[:8])
    small = "".join(f"<div>{vessel_svg(one, 'small', parts_apart=True)}</div>" for one in many())
    present = {True: ' aria-current="step"', False: ""}
    steps = "".join(
        f'<li class="vp-step vp-{step.when}"{present[step.when == "now"]}>{step.svg}{step.name}</li>'
        for step in stage_steps("hatching")
    )
    inside = f'{shared_parts()}{drawn}<div class="many">{small}</div><ol class="vp-steps">{steps}</ol>'
    with shown(chromium, tmp_path, inside, 320, scheme) as page:
        assert found_by_axe(page) == []
        assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")


def inside(box: list[float], frame: list[float]) -> bool:
    return box[0] >= 0 and box[1] >= 0 and box[2] <= frame[2] and box[3] <= frame[3]


def on_each_other(a: list[float], b: list[float]) -> bool:
    """Whether two boxes share more than a hair; a letter's box is taller than its ink."""
    return a[0] < b[2] - 0.5 and b[0] < a[2] - 0.5 and a[1] < b[3] - 2.5 and b[1] < a[3] - 2.5
