"""Drawings in a real browser: words whole, apart and clear of every line; nothing for axe to find.

Skipped, with the reason, where chromium or the extra `browser` is missing.
"""

import itertools
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from reports.page.picture.drawing import vessel_svg
from reports.page.picture.sizes import PLACES
from tests.kit.browser import browser, found_by_axe, missing, page_of
from tests.kit.vessel_sheets import many, sheet, small, steps

pytestmark = [pytest.mark.long, pytest.mark.skipif(bool(missing()), reason=missing())]

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


def shown(chromium: Any, folder: Path, inside: str, wide_px: int, scheme: str = "light") -> Any:
    file = folder / "drawings.html"
    file.write_text(sheet(inside), "utf-8")
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
    inside = f"{drawn}{small(many())}{steps('hatching')}"
    with shown(chromium, tmp_path, inside, 320, scheme) as page:
        assert found_by_axe(page) == []
        assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")


def inside(box: list[float], frame: list[float]) -> bool:
    return box[0] >= 0 and box[1] >= 0 and box[2] <= frame[2] and box[3] <= frame[3]


def on_each_other(a: list[float], b: list[float]) -> bool:
    """Whether two boxes share more than a hair; a letter's box is taller than its ink."""
    return a[0] < b[2] - 0.5 and b[0] < a[2] - 0.5 and a[1] < b[3] - 2.5 and b[1] < a[3] - 2.5
