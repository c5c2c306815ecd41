"""Vessels to draw: any at all, and some that people would have; and what is painted of a drawing."""

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from xml.etree import ElementTree as ET

from hypothesis import strategies as st

from reports.page.picture.vessel_picture import (
    KINDS,
    FeltWarmth,
    LampLight,
    ProbePlace,
    VesselPicture,
    VesselShape,
)
from reports.records import Range
from reports.vessel_line import STAGES

CUP, JAR, CONE = VesselShape("cup", 250, 38), VesselShape("jar", 1000, 80), VesselShape("cone", 2000, 150)
HATCHING = VesselPicture(
    *("tray-a", 1, CUP, 40.0, 30.0, "hatching", Range(8, 12, 17), Range(0.3, 0.5, 0.7), 1.2),
    *(FeltWarmth.RIGHT, 25.4, "C", LampLight.LIT, ProbePlace.WATER, 2),
)
RUNNING = ("set", "hatching", "hatched", "growing", "being harvested")


def of_kind(kind: str, **changed: object) -> VesselPicture:
    """A vessel of a kind, with limits that people would give it."""
    shape, low_ml, brim_ml = {"cup": (CUP, 40, 30), "jar": (JAR, 120, 90), "cone": (CONE, 300, 100)}[kind]
    loss_ml = Range(low_ml * 0.2, low_ml * 0.3, low_ml * 0.42)
    given = {"vessel": kind, "shape": shape, "low_ml": low_ml, "brim_ml": brim_ml, "loss_ml": loss_ml}
    return replace(HATCHING, **{**given, **changed})


def _ranges(low: float, high: float) -> st.SearchStrategy[Range]:
    ends = st.lists(st.floats(low, high), min_size=3, max_size=3).map(sorted)
    return ends.map(lambda three: Range(*three))


# Names with markup, controls and halves of characters, too.
_NAMES = st.text(st.characters(exclude_categories=()), max_size=40)


@st.composite
def pictures(draw: st.DrawFn) -> VesselPicture:
    """Any vessel that a station file may describe, in any state."""
    mark_ml = draw(st.floats(1.0, 100_000.0))
    low_ml = draw(st.floats(0.1, 100_000.0))
    brim_ml = draw(st.floats(0.0, 100_000.0))
    return VesselPicture(
        vessel=draw(_NAMES),
        count=draw(st.integers(1, 500)),
        shape=VesselShape(draw(st.sampled_from(KINDS)), mark_ml, draw(st.floats(0.5, 20_000.0))),
        low_ml=low_ml,
        brim_ml=brim_ml,
        stage=draw(st.sampled_from(list(STAGES))),
        loss_ml=draw(st.none() | _ranges(-2 * brim_ml - 1, 1.5 * mark_ml) | _ranges(-brim_ml, low_ml)),
        hatched=draw(st.none() | _ranges(0.0, 1.0)),
        age_days=draw(st.none() | st.floats(0.0, 400.0)),
        warmth=draw(st.none() | st.sampled_from(FeltWarmth)),
        water_c=draw(st.none() | st.floats(-20.0, 120.0)),
        unit=draw(st.sampled_from("CF")),
        lamp=draw(st.none() | st.sampled_from(LampLight)),
        probe=draw(st.none() | st.sampled_from(ProbePlace)),
        alarms=draw(st.integers(0, 12)),
        covered=draw(st.booleans()),
    )


SVG = "{http://www.w3.org/2000/svg}"
_TOKEN = re.compile(r"[A-Za-z]|-?(?:\d+\.?\d*|\.\d+)")
# How many figures each command of a path takes.
_TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
Matrix = tuple[float, float, float, float, float, float]
_AS_IT_IS: Matrix = (1, 0, 0, 1, 0, 0)


def painted(svg: str) -> Iterator[tuple[str, float, float]]:
    """Each point that paths and circles of a drawing go through or bend towards, with its element's class.

    A curve lies within its points (a Bézier curve's convex hull), so they bound what is painted, but for half
    of a stroke's width.
    """
    root = ET.fromstring(svg)
    kept = {element.get("id"): element for element in root.iter() if element.get("id")}
    defs = set(root.iter(f"{SVG}defs"))
    yield from _painted(root, _AS_IT_IS, kept, defs)


def _painted(element: ET.Element, by: Matrix, kept: dict, skipped: set) -> Iterator[tuple[str, float, float]]:
    if element in skipped:
        return
    by = _product(by, _matrix(element.get("transform", "")))
    named = element.get("class", "")
    for x, y in _points(element):
        yield named, *_moved(by, x, y)
    if element.tag == f"{SVG}use":
        yield from _painted(kept[element.get("href", "")[1:]], by, kept, set())
    for child in element:
        yield from _painted(child, by, kept, skipped)


def _points(element: ET.Element) -> list[tuple[float, float]]:
    if element.tag == f"{SVG}path":
        return path_points(element.get("d", ""))
    if element.tag == f"{SVG}circle":
        x, y, r = (float(element.get(key, 0)) for key in ("cx", "cy", "r"))
        return [(x - r, y - r), (x + r, y + r)]
    return []


def path_points(data: str) -> list[tuple[float, float]]:
    """The points of a path's data."""
    tokens, x, y, command = _TOKEN.findall(data), 0.0, 0.0, "M"
    found: list[tuple[float, float]] = []
    bend = (0.0, 0.0)
    while tokens:
        if tokens[0].isalpha():
            command = tokens.pop(0)
        takes = _TAKES[command.upper()]
        figures = [float(tokens.pop(0)) for _ in range(takes)]
        dx, dy = (x, y) if command.islower() else (0.0, 0.0)
        match command.upper():
            case "H":
                points = [(figures[0] + dx, y)]
            case "V":
                points = [(x, figures[0] + dy)]
            case "A":
                points = [(figures[5] + dx, figures[6] + dy)]
            case "T":
                end = (figures[0] + dx, figures[1] + dy)
                points = [(2 * x - bend[0], 2 * y - bend[1]), end]
            case "S":
                rest = [(a + dx, b + dy) for a, b in zip(figures[::2], figures[1::2], strict=True)]
                points = [(2 * x - bend[0], 2 * y - bend[1]), *rest]
            case _:
                points = [(a + dx, b + dy) for a, b in zip(figures[::2], figures[1::2], strict=True)]
        if points:
            bend = points[-2] if command.upper() in "CSQT" else points[-1]
            x, y = points[-1]
        found += points
    return found


def _matrix(transform: str) -> Matrix:
    matrix = _AS_IT_IS
    for name, inside in re.findall(r"(\w+)\(([^)]*)\)", transform):
        figures = [float(one) for one in inside.split()]
        match name:
            case "translate":
                step = (1.0, 0.0, 0.0, 1.0, figures[0], figures[1])
            case "scale":
                step = (figures[0], 0.0, 0.0, figures[0], 0.0, 0.0)
            case _:
                c, s = math.cos(math.radians(figures[0])), math.sin(math.radians(figures[0]))
                step = (c, s, -s, c, 0.0, 0.0)
        matrix = _product(matrix, step)
    return matrix


def _product(p: Matrix, q: Matrix) -> Matrix:
    return (
        p[0] * q[0] + p[2] * q[1],
        p[1] * q[0] + p[3] * q[1],
        p[0] * q[2] + p[2] * q[3],
        p[1] * q[2] + p[3] * q[3],
        p[0] * q[4] + p[2] * q[5] + p[4],
        p[1] * q[4] + p[3] * q[5] + p[5],
    )


def _moved(by: Matrix, x: float, y: float) -> tuple[float, float]:
    return by[0] * x + by[2] * y + by[4], by[1] * x + by[3] * y + by[5]
