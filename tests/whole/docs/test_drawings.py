"""No letter of a drawing is cut off or touches another thing, whatever font a reader has.

A browser without the named font takes another. A text counts as 1.15 times as wide as in Helvetica, whose
widths Arial and Liberation Sans share by design [M], or as wide as in DejaVu Sans, the widest font that is
usual on Linux [M], whichever is more. matplotlib brings both fonts' widths along.
"""

import re
import xml.etree.ElementTree as ElementTree  # our own files
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from matplotlib import get_data_path

from tests.kit.checkout import DOCS

DRAWINGS = sorted((DOCS / "wiring").glob("*.svg"))
SVG = "{http://www.w3.org/2000/svg}"
Point = tuple[float, float]

BETWEEN_WORDS = 4.0
TO_LINES = 2.0
TO_EDGE = 4.0
LINE_HALF = 1.5
FONTS = Path(get_data_path()) / "fonts"
WIDER = 1.15


@dataclass(frozen=True)
class Box:
    left: float
    top: float
    right: float
    bottom: float

    def grown(self, by: float) -> "Box":
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def meets(self, other: "Box") -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def holds(self, other: "Box") -> bool:
        return (
            self.left <= other.left
            and self.top <= other.top
            and other.right <= self.right
            and other.bottom <= self.bottom
        )


@cache
def _dejavu(bold: bool) -> tuple[dict[int, str], dict[str, tuple[int, int]], int]:
    """The names of its letters, their widths, and what one em is in them."""
    font = TTFont(FONTS / "ttf" / f"DejaVuSans{'-Bold' * bold}.ttf")
    return font.getBestCmap(), font["hmtx"].metrics, font["head"].unitsPerEm


@cache
def _helvetica(bold: bool) -> dict[str, int]:
    """The widths of its letters by their names; one em is 1000."""
    told = (FONTS / "pdfcorefonts" / f"Helvetica{'-Bold' * bold}.afm").read_text("latin-1")
    return {name: int(wide) for wide, name in re.findall(r"^C .*; WX (\d+) ; N (\w+) ;", told, re.MULTILINE)}


def at_most(text: str, size: float, bold: bool) -> float:
    """How wide a text may turn out; a letter that Helvetica lacks (Ω) counts as DejaVu's."""
    names, wide, em = _dejavu(bold)
    named, own = [names[ord(letter)] for letter in text], _helvetica(bold)
    other = sum(wide[name][0] / em for name in named)
    usual = sum(own[name] / 1000 if name in own else wide[name][0] / em for name in named)
    return size * max(other, WIDER * usual)


class Picture:
    """The texts, frames and lines of a drawing, as what they take up."""

    def __init__(self, svg: str) -> None:
        self.root = ElementTree.fromstring(svg)
        _, _, self.wide, self.high = (float(n) for n in self.root.attrib["viewBox"].split())
        (plain, small) = re.findall(r"(?:text \{ font: |\.s \{ font-size: )([\d.]+)px", svg)
        self.sizes = {"": float(plain), "s": float(small)}
        self.texts = [(text, self._place(text)) for text in self.root.iter(f"{SVG}text")]

    def _place(self, text: ElementTree.Element) -> Box:
        marks = text.get("class", "").split()
        size = self.sizes["s" if "s" in marks else ""]
        wide = at_most(text.text or "", size, "b" in marks)
        left = float(text.attrib["x"]) - wide * (0.5 if "m" in marks else 1.0 if "e" in marks else 0.0)
        base = float(text.attrib["y"])
        return Box(left, base - 0.76 * size, left + wide, base + 0.24 * size)

    def frames(self) -> Iterator[Box]:
        for rect in self.root.iter(f"{SVG}rect"):
            if "x" in rect.attrib and rect.get("class") != "water":
                x, y, wide, high = (float(rect.attrib[k]) for k in ("x", "y", "width", "height"))
                yield Box(x, y, x + wide, y + high)

    def lines(self, on_wires: bool) -> Iterator[Box]:
        """Each straight piece of each path, a slanting one as the box around it, and each dot."""
        for path in self.root.iter(f"{SVG}path"):
            if not (on_wires and path.get("class", "").startswith("wire")):
                for a, b in _pieces(path.attrib["d"]):
                    corner, other = (min(a[0], b[0]), min(a[1], b[1])), (max(a[0], b[0]), max(a[1], b[1]))
                    yield Box(*corner, *other).grown(LINE_HALF)
        for dot in self.root.iter(f"{SVG}circle"):
            x, y, r = (float(dot.attrib[k]) for k in ("cx", "cy", "r"))
            if r < 10:  # the header's pins bear their numbers inside
                yield Box(x - r, y - r, x + r, y + r)

    def faults(self) -> Iterator[str]:
        page = Box(0, 0, self.wide, self.high).grown(-TO_EDGE)
        for text, box in self.texts:
            if not page.holds(box):
                yield f"{text.text!r} may be cut off at the edge"
            for frame in self.frames():
                inside, outside = frame.grown(-TO_LINES).holds(box), not frame.grown(TO_LINES).meets(box)
                if not inside and not outside:
                    yield f"{text.text!r} may cross a frame"
            # Some have a white rim, to stand on a wire.
            for line in self.lines(on_wires="on" in text.get("class", "").split()):
                if line.meets(box):
                    yield f"{text.text!r} may touch a line at {line}"
        for (one, box), (two, other) in combinations(self.texts, 2):
            if replace(box, left=box.left - BETWEEN_WORDS, right=box.right + BETWEEN_WORDS).meets(other):
                yield f"{one.text!r} may touch {two.text!r}"


def _pieces(d: str) -> Iterator[tuple[Point, Point]]:
    """The straight pieces of a path of M, H, V, L and Z."""
    x = y = 0.0
    begun = (x, y)
    for step, told in re.findall(r"([MHVLZ])([-\d. ]*)", d):
        numbers = [float(n) for n in told.split()]
        before = (x, y)
        if step == "Z":
            x, y = begun
        else:
            x = x if step == "V" else numbers[0]
            y = y if step == "H" else numbers[-1]
        if step == "M":
            begun = (x, y)
        else:
            yield before, (x, y)


@pytest.mark.parametrize("path", DRAWINGS, ids=lambda path: path.stem)
def test_no_text_is_cut_off_or_touches_in_a_wider_font(path: Path) -> None:
    assert list(Picture(path.read_text("utf-8")).faults()) == []


def test_what_is_cut_off_crosses_or_touches_would_be_noticed() -> None:
    svg = (DOCS / "wiring" / "float.svg").read_text("utf-8")
    for right, wrong, told in (
        ('x="44" y="250">mark', 'x="35" y="250">mark', "'mark' may be cut off"),
        ('x="118" y="67">pin 11', 'x="150" y="67">pin 11', "'pin 11' may cross a frame"),
        ('y="40">float switch', 'y="68">float switch', "'float switch' may touch a line"),
        ('x="118" y="84">GPIO17', 'x="118" y="74">GPIO17', "'pin 11' may touch 'GPIO17'"),
    ):
        assert right in svg
        assert any(fault.startswith(told) for fault in Picture(svg.replace(right, wrong)).faults()), told
