"""The outline of a cup, a jar or a cone: how wide it is at each height."""

import math
from dataclasses import dataclass
from itertools import pairwise

from reports.page.picture.sizes import Places
from reports.page.picture.svg import Point
from reports.page.picture.vessel_picture import VesselShape

# How wide a vessel is to how deep, of cups, jars and cones that people use; beyond it no drawing is clearer.
_NARROWEST, _WIDEST = 0.82, 1.0
_CORNER = 4  # so many points round a corner


@dataclass(frozen=True, slots=True)
class Outline:
    """A vessel seen from the side; `profile` has half of its width at heights from the rim down."""

    centre_x: float
    profile: tuple[Point, ...]

    @property
    def rim_y(self) -> float:
        """The top."""
        return self.profile[0][0]

    @property
    def bottom_y(self) -> float:
        """The lowest point of what it holds."""
        return self.profile[-1][0]

    def half_at(self, y: float) -> float:
        """Half of its width at a height; the nearest end's beyond it."""
        for (y0, half0), (y1, half1) in pairwise(self.profile):
            if y0 <= y <= y1:
                return half0 + (half1 - half0) * ((y - y0) / (y1 - y0) if y1 > y0 else 1.0)
        return self.profile[0][1] if y < self.rim_y else self.profile[-1][1]

    def wall(self) -> list[Point]:
        """The glass: down one side and up the other, open at the rim."""
        return self._round(list(self.profile))

    def filled(self, top_y: float, down_to_y: float | None = None) -> list[Point]:
        """What is inside between two heights, to the bottom where none is given."""
        end_y = self.bottom_y if down_to_y is None else down_to_y
        inside = [point for point in self.profile if top_y < point[0] < end_y]
        ends = [(top_y, self.half_at(top_y)), *inside, (end_y, self._half_at_end(end_y))]
        return self._round(ends)

    def _half_at_end(self, y: float) -> float:
        return self.profile[-1][1] if y >= self.bottom_y else self.half_at(y)

    def _round(self, halves: list[Point]) -> list[Point]:
        left = [(self.centre_x - half, y) for y, half in halves]
        right = [(self.centre_x + half, y) for y, half in reversed(halves)]
        return left + right


def outline_of(shape: VesselShape, places: Places, bottom_y: float) -> Outline:
    """The vessel's outline: as wide, against its depth, as its mark and surface say, within what is clear."""
    half = places.widest * _share_of_width(shape)
    draw = {"jar": _jar, "cone": _cone}.get(shape.kind, _cup)
    return Outline(places.centre_x, tuple(draw(places, half, bottom_y)))


def _share_of_width(shape: VesselShape) -> float:
    """Of the widest that there is room for. A cone holds a third of what a straight one would."""
    across_cm = 2.0 * math.sqrt(max(shape.surface_cm2, 0.1) / math.pi)
    deep_cm = max(shape.mark_ml, 0.1) / max(shape.surface_cm2, 0.1) * (3.0 if shape.kind == "cone" else 1.0)
    return min(max(across_cm / deep_cm, _NARROWEST), _WIDEST)


def _corner(y: float, half: float, radius: float) -> list[Point]:
    """A round corner down to the bottom at `y`."""
    turns = [n / _CORNER * math.pi / 2 for n in range(_CORNER + 1)]
    return [(y - radius + radius * math.sin(t), half - radius + radius * math.cos(t)) for t in turns]


def _cup(places: Places, half: float, bottom_y: float) -> list[Point]:
    """Open, and a little narrower below."""
    foot, radius = half * 0.82, places.widest * 0.14
    return [(places.rim_y, half), *_corner(bottom_y, foot, radius)]


def _jar(places: Places, half: float, bottom_y: float) -> list[Point]:
    """A neck and shoulders above the brim, straight below it."""
    high = places.brim_y - places.rim_y
    neck, radius = half * 0.74, places.widest * 0.2
    shoulder = [
        (
            places.rim_y + high * (0.35 + 0.5 * n / _CORNER),
            neck + (half - neck) * math.sin(n / _CORNER * 1.5708),
        )
        for n in range(_CORNER + 1)
    ]
    return [(places.rim_y, neck), *shoulder, *_corner(bottom_y, half, radius)]


def _cone(places: Places, half: float, bottom_y: float) -> list[Point]:
    """Straight at the top, then narrowing to a tap; it hangs in a stand, above the board."""
    low_y = bottom_y - (bottom_y - places.rim_y) * 0.07
    bend_y = places.rim_y + (low_y - places.rim_y) * 0.52
    return [(places.rim_y, half), (bend_y, half * 0.97), (low_y, half * 0.08)]
