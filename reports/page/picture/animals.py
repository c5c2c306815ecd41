"""How cysts and animals look, drawn simply: the head is up, and a nauplius is about 24 units long.

After the descriptions of Artemia's stages in P. Lavens & P. Sorgeloos (eds.), FAO Fisheries Technical
Paper 361 (1996), chapter 4.1 [M]: a dry cyst is dented and a soaked one round; the embryo leaves the shell
and hangs beneath it, as under an umbrella; a nauplius has one red eye and three pairs of limbs, of which the
second antennae are the longest; older larvae grow longer and get more legs, and two more eyes; adults have
stalked eyes, eleven pairs of legs and a thin tail.
"""

from collections.abc import Mapping
from functools import cache

from reports.page.picture.svg import element

_LEGS = 11


@cache
def glyphs() -> Mapping[str, str]:
    """Each drawing by its name, as SVG about the point 0, 0."""
    return {
        "dry": _dry(),
        "cyst": _cyst(),
        "breaking": _breaking(),
        "umbrella": _umbrella(),
        "nauplius": _nauplius(),
        "older": _older(),
        "juvenile": _juvenile(),
        "adult": _adult(),
    }


def _limbs(data: str) -> str:
    return element("path", d=data, class_="vp-limb")


def _eye(x: float, y: float, r: float = 1.5) -> str:
    return element("circle", cx=x, cy=y, r=r, class_="vp-eye")


def _both_sides(*steps: str) -> str:
    """Limbs of the right side, given as points `x,y`, and the same of the left."""
    right = "".join(f"M{step.replace(' ', 'L')}" for step in steps)
    left = "".join("M" + "L".join(_mirrored(point) for point in step.split()) for step in steps)
    return right + left


def _mirrored(point: str) -> str:
    x, y = point.split(",")
    return f"{-float(x):g},{y}"


def _dry() -> str:
    """Dented, like a ball with its air let out."""
    return element("path", d="M-5 -2.4C-6 4 -2.4 5.4 0 5.4S6 4 5 -2.4C3 -4.4 1.8 1 0 1S-3 -4.4 -5 -2.4Z")


def _cyst() -> str:
    return element("circle", r=5.2) + _limbs("M-2.6 -1.6A3.2 3.2 0 0 1 0 -3")


def _breaking() -> str:
    """A cleft shell with the embryo showing in it."""
    return (
        element("path", d="M-5 -1A5.2 5.2 0 1 1 5 -1L2.6 .6L.6 -1L-1.6 .6Z")
        + element("path", d="M-5 1.4A5.2 5.2 0 0 0 5 1.4L2.6 3L.6 1.4L-1.6 3Z")
        + element("path", d="M-3.4 1.4C-2 5 -1 9.6 .4 9.6S3.6 5 3.6 1.4Z", class_="vp-embryo")
    )


def _umbrella() -> str:
    """The embryo in its membrane, hanging from the empty shell."""
    return (
        element("path", d="M-5.4 -3A5.4 5.4 0 0 1 5.4 -3L2.4 -4.2L0 -2.6L-2.4 -4.2Z")
        + element(
            "path",
            d="M0 -2.6C3.6 0 3.6 4 2.6 7.4C1.8 9.8 -1.8 9.8 -2.6 7.4C-3.6 4 -3.6 0 0 -2.6Z",
            class_="vp-embryo",
        )
        + _eye(0, 2.6, 1.1)
    )


def _larval_limbs(y: float) -> str:
    """First antennae, the long second ones with their bristles, and mandibles, about a head at `y`."""
    sides = (
        ((1.6, -3), (3.6, -7.5)),
        ((3.2, 0.5), (6.6, -2.4), (10.4, -2.6), (14.2, 1)),
        ((10.4, -2.6), (12.6, 2.8)),
        ((12.4, -1), (15.2, 3.6)),
        ((14.2, 1), (17, 3.2)),
        ((3.2, 3.6), (7.2, 6.4), (8, 9)),
    )
    return _limbs(_both_sides(*(" ".join(f"{x},{y + down:g}" for x, down in limb) for limb in sides)))


def _nauplius() -> str:
    """Instar I: short, pear-shaped, full of yolk."""
    body = "M0 -8.4C4.6 -8.4 5.4 -3.6 4.2 .2C3.4 4.4 2 9 0 9S-3.4 4.4 -4.2 .2C-5.4 -3.6 -4.6 -8.4 0 -8.4Z"
    return _larval_limbs(-4.5) + element("path", d=body) + _eye(0, -5)


def _older() -> str:
    """Instar II: longer behind, its gut open."""
    body = "M0 -10.4C4.4 -10.4 5 -5.6 3.8 -1.8C3 2 2.4 8 1.6 12.4L0 14.4L-1.6 12.4C-2.4 8 -3 2 -3.8 -1.8"
    body += "C-5 -5.6 -4.4 -10.4 0 -10.4Z"
    return _larval_limbs(-6.5) + element("path", d=body) + _eye(0, -7)


def _juvenile() -> str:
    """A long trunk with legs budding, the antennae still large, two eyes beginning beside the first."""
    legs = [
        f"{3.4 - n * 0.22:.1f},{-2 + n * 2.6:.1f} {8.6 - n * 0.9:.1f},{0.4 + n * 2.6:.1f}" for n in range(6)
    ]
    return (
        _limbs(_both_sides("3,-9 9,-13.5 12,-9.5", *legs))
        + element(
            "path",
            d="M0 -13C4 -13 4.6 -9 3.6 -5C3.4 1 2.6 9 1.5 15L2.4 20L0 18L-2.4 20L-1.5 15"
            "C-2.6 9 -3.4 1 -3.6 -5C-4.6 -9 -4 -13 0 -13Z",
        )
        + _eye(0, -10, 1)
        + _eye(-3.8, -9, 1.4)
        + _eye(3.8, -9, 1.4)
    )


def _adult() -> str:
    """Stalked eyes, eleven pairs of leaf-like legs, a thin tail with a fork."""
    legs = [_leg(n) for n in range(_LEGS)]
    return (
        _limbs(_both_sides("1.2,-18 3.6,-23", "2,-16 7,-19", *legs))
        + element(
            "path",
            d="M0 -20C3 -20 3 -16 2.8 -13C3.2 -4 2.6 2 1.4 7L1.1 20L2.8 25L0 22L-2.8 25"
            "L-1.1 20L-1.4 7C-2.6 2 -3.2 -4 -2.8 -13C-3 -16 -3 -20 0 -20Z",
        )
        + _eye(-7.4, -19.4, 1.7)
        + _eye(7.4, -19.4, 1.7)
    )


def _leg(n: int) -> str:
    """The `n`th leg of a side; those in the middle are the longest."""
    y, out = -12 + n * 1.85, 8.5 - abs(n - 4) * 0.75
    return f"2.4,{y:.1f} {out:.1f},{y + 0.6:.1f} {out - 1.4:.1f},{y + 2.6:.1f}"
