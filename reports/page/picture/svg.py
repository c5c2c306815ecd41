"""SVG as text: elements with escaped words and short figures."""

from collections.abc import Iterable

# As the library's `html.escape` has them, which brings the names of two thousand signs along.
_ESCAPES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#x27;"})

Point = tuple[float, float]


def escaped(text: str) -> str:
    """The text as it may stand inside an element or an attribute."""
    return text.translate(_ESCAPES)


def figure(value: float) -> str:
    """A number with one decimal at most."""
    return f"{round(value, 1) + 0.0:.1f}".removesuffix(".0")


def element(name: str, *inside: str, **attributes: str | float) -> str:
    """An element with what is inside it, which is SVG already. `class_` is the attribute `class`, and
    `stroke_width` is `stroke-width`."""
    given = "".join(f' {_named(key)}="{_valued(value)}"' for key, value in attributes.items())
    return f"<{name}{given}>{''.join(inside)}</{name}>" if inside else f"<{name}{given}/>"


def path(points: Iterable[Point], *, closed: bool = False) -> str:
    """The data of a path through points."""
    steps = "L".join(f"{figure(x)} {figure(y)}" for x, y in points)
    return f"M{steps}{'Z' if closed else ''}"


def _named(key: str) -> str:
    return key.rstrip("_").replace("_", "-") if key != "viewBox" else key


def _valued(value: str | float) -> str:
    return escaped(value) if isinstance(value, str) else figure(value)
