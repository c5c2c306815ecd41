"""What drawings use more than once: animals, and how water fades out; held by each, or once by a page."""

import re
from collections.abc import Iterable, Mapping
from functools import cache

from reports.page.picture.animals import glyphs
from reports.page.picture.svg import element

# What the names of parts begin with that a page keeps once for all of its drawings.
SHARED = "vp-"
SOFT, UNSURE = "so", "un"


def key(glyph: str) -> str:
    """The short name of an animal's drawing."""
    return glyph[:2]


def defined(prefix: str, drawing: str) -> str:
    """The parts that a drawing asks for by names with this prefix, for it to hold."""
    asked = set(re.findall(rf'#{prefix}(\w\w)["\')]', drawing))
    return element("defs", *_named(prefix, sorted(asked))) if asked else ""


def shared_parts() -> str:
    """All parts, for a page that shows many drawings: it stands before them and shows nothing itself."""
    kept = element("defs", *_named(SHARED, _parts()))
    return element("svg", kept, width="0", height="0", aria_hidden="true", class_="vp-parts")


def _named(prefix: str, names: Iterable[str]) -> list[str]:
    return [_parts()[name].replace(" id=''", f' id="{prefix}{name}"', 1) for name in names]


@cache
def _parts() -> Mapping[str, str]:
    """Each part by its short name, with a place for its id."""
    animals = {key(name): f"<g id=''>{glyph}</g>" for name, glyph in glyphs().items()}
    return {**animals, SOFT: _fading("vp-soft"), UNSURE: _fading("vp-unsure")}


def _fading(class_: str) -> str:
    stops = "".join(element("stop", offset=offset, class_=f"{class_}-{offset}") for offset in ("0", "1"))
    return f'<linearGradient id=\'\' x2="0" y2="1">{stops}</linearGradient>'
